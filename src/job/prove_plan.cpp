#include "job/assembly_stage.hpp"
#include "job/json_values.hpp"
#include "job/kept_stages.hpp"
#include "job/make_plan.hpp"

#include <algorithm>

namespace kerfwright::job {
namespace {

std::vector<proof::AskedPart> asked_parts(const Plan& plan, const PlannedSetup& setup) {
    std::vector<proof::AskedPart> parts;
    for (const PlannedPiece& piece : plan.pieces) {
        if (piece.setup != setup.name) continue;
        proof::AskedPart part;
        part.id = piece.id;
        part.outline = plane::placed(piece.outline, piece.placement);
        part.skin = piece.skin + piece.bed; // heights count from the Z zero
        for (const holding::Tab& tab : piece.tabs)
            part.tabs.push_back({tab.at.x, tab.at.y, tab.width, tab.thickness, tab.base});
        parts.push_back(std::move(part));
    }
    return parts;
}

Json json_of(const proof::PartProof& part) {
    Json json{
        {"id", part.id}, {"deviation_min", tidy(part.deviation_min)}, {"deviation_max", tidy(part.deviation_max)}};
    if (!part.slot) return json;
    json["skin_min"] = tidy(part.slot->skin_min);
    json["skin_max"] = tidy(part.slot->skin_max);
    json["tabs"] = Json::array();
    for (const proof::TabLeft& tab : part.slot->tabs)
        json["tabs"].push_back({{"at", {tidy(tab.at[0]), tidy(tab.at[1])}},
                                {"width", tidy(tab.width)},
                                {"thickness", tidy(tab.thickness)}});
    return json;
}

Json json_of(const proof::FloorPlace& place) {
    return {{"at", {tidy(place.at[0]), tidy(place.at[1])}}, {"program", place.program}, {"line", place.line}};
}

Json json_of(const proof::FloorProof& floor) {
    return {{"id", floor.id},
            {"deviation_min", tidy(floor.deepest.deviation)},
            {"deviation_max", tidy(floor.highest.deviation)},
            {"deepest", json_of(floor.deepest)},
            {"highest", json_of(floor.highest)},
            {"complete", floor.complete}};
}

double spread(const shop::Sheet& sheet) {
    double most = 0;
    for (const shop::ThicknessPoint& point : sheet.measured)
        most = std::max(most, std::abs(point.thickness - sheet.thickness));
    return most;
}

} // namespace

bool Proof::proven() const {
    return std::all_of(setups.begin(), setups.end(), [](const auto& setup) { return setup.findings.empty(); });
}

proof::SetupToProve setup_to_prove(const Plan& plan, const PlannedSetup& setup) {
    proof::SetupToProve out;
    out.name = setup.name;
    out.z_zero_on_bed = setup.z_zero_on_bed;
    out.stock.outline = setup.sheet.outline;
    out.stock.top = setup.z_zero_on_bed ? shop::thickest(setup.sheet) : 0;
    out.stock.bottom = setup.z_zero_on_bed ? 0 : -setup.sheet.thickness;
    out.stock.thickness_spread = spread(setup.sheet);
    out.clamps = setup.sheet.clamps;
    for (const PlannedProgram& program : setup.programs)
        out.programs.push_back({program.file, program.text, program.cutter});
    out.cutters = plan.cutters;
    out.machine = plan.machine;
    out.holds = setup.sheet.hold;
    out.parts = asked_parts(plan, setup);
    if (plan.has_tray && plan.tray.setup == setup.name) {
        for (const PlannedFloor& floor : plan.tray.floors)
            out.floors.push_back({floor.piece, plane::placed(floor.area, plan.tray.placement), floor.depth});
        out.wall = plane::placed(plan.tray.wall, plan.tray.placement);
    }
    for (const shop::Material& material : plan.materials)
        if (material.name == setup.sheet.material) out.material = material;
    for (const cutting::FeedPlan& feed : plan.feeds) {
        if (feed.material != setup.sheet.material) continue;
        out.feed_max.emplace_back(feed.cutter, feed.setting.vf);
        out.plans.push_back(feed);
    }
    return out;
}

Proof prove_plan(const Plan& plan, int threads) {
    Proof proof;
    proof::ProveOptions options;
    options.threads = threads;
    for (const PlannedSetup& setup : plan.setups)
        proof.setups.push_back(proof::prove(setup_to_prove(plan, setup), options));
    check_assembly(proof, plan, threads);
    return proof;
}

Result<Proof> prove_as_written(const Plan& plan, const PlanOptions& options) {
    auto read = plan_from_json(to_json(plan), "plan.json");
    if (!read) return read.problem();
    Plan& written = read.value();
    KeptStages fresh;
    KeptStages& kept = options.kept != nullptr ? *options.kept : fresh;
    std::vector<std::string> inputs;
    bool all_kept = true;
    for (std::size_t i = 0; i < plan.setups.size(); ++i) {
        for (std::size_t k = 0; k < plan.setups[i].programs.size(); ++k)
            written.setups[i].programs[k].text = plan.setups[i].programs[k].text;
        if (options.kept != nullptr) inputs.push_back(proof_input(written, written.setups[i]));
        const auto old = kept.proofs.find(written.setups[i].name);
        all_kept = all_kept && old != kept.proofs.end() && old->second.input == inputs[i];
    }
    if (options.progress) options.progress("proof", all_kept);
    std::map<std::string, Kept<proof::SetupProof>> proofs;
    Proof proof;
    for (std::size_t i = 0; i < written.setups.size(); ++i) {
        if (options.stop.stop_requested()) return stopped();
        const PlannedSetup& setup = written.setups[i];
        const auto old = kept.proofs.find(setup.name);
        const bool same = old != kept.proofs.end() && old->second.input == inputs[i];
        proof.setups.push_back(same ? old->second.result
                                    : proof::prove(setup_to_prove(written, setup), {.threads = options.threads}));
        if (options.kept != nullptr) proofs[setup.name] = {std::move(inputs[i]), proof.setups.back()};
    }
    kept.proofs = std::move(proofs);
    check_assembly(proof, written, options.threads);
    return proof;
}

std::string to_json(const Proof& proof) {
    Json json;
    json["schema"] = "kerfwright.proof/1";
    json["verdict"] = proof.proven() ? "proven" : "findings";
    json["setups"] = Json::array();
    json["parts"] = Json::array();
    json["floors"] = Json::array();
    json["freed"] = Json::array();
    json["findings"] = Json::array();
    for (const proof::SetupProof& setup : proof.setups) {
        Json programs = Json::array();
        for (const proof::ProgramProof& program : setup.programs)
            programs.push_back({{"file", program.file},
                                {"time", tidy(program.time)},
                                {"time_fastest", tidy(program.fastest)},
                                {"time_slowest", tidy(program.slowest)},
                                {"cut_length", tidy(program.cut_length)},
                                {"removed_volume", tidy(program.removed_volume)}});
        json["setups"].push_back({{"name", setup.name},
                                  {"time", tidy(setup.time)},
                                  {"time_fastest", tidy(setup.fastest)},
                                  {"time_slowest", tidy(setup.slowest)},
                                  {"cut_length", tidy(setup.cut_length)},
                                  {"removed_volume", tidy(setup.removed_volume)},
                                  {"programs", programs}});
        for (const proof::PartProof& part : setup.parts)
            json["parts"].push_back(json_of(part));
        for (const proof::FloorProof& floor : setup.floors) {
            json["floors"].push_back(json_of(floor));
            json["floors"].back()["setup"] = setup.name;
        }
        for (const proof::FreedPart& freed : setup.freed)
            json["freed"].push_back({{"setup", setup.name},
                                     {"id", freed.id},
                                     {"area", tidy(freed.area)},
                                     {"at", {tidy(freed.at[0]), tidy(freed.at[1])}},
                                     {"program", freed.program},
                                     {"line", freed.line},
                                     {"held_by", to_string(freed.held_by)},
                                     {"loose_scrap", freed.loose_scrap}});
        for (const proof::Finding& finding : setup.findings)
            json["findings"].push_back({{"kind", to_string(finding.kind)},
                                        {"setup", setup.name},
                                        {"program", finding.program},
                                        {"line", finding.line},
                                        {"column", finding.column},
                                        {"at", {tidy(finding.at[0]), tidy(finding.at[1]), tidy(finding.at[2])}},
                                        {"value", tidy(finding.value)},
                                        {"bound", tidy(finding.bound)},
                                        {"text", finding.text}});
    }
    if (proof.assembly)
        json["assembly"] = {{"slack", tidy(proof.assembly->slack)},
                            {"planned", tidy(proof.assembly->planned)},
                            {"agrees", proof.assembly->agrees()},
                            {"goes_together", proof.assembly->goes_together()}};
    json["notes"] = proof.notes;
    return json.dump(1) + "\n";
}

} // namespace kerfwright::job
