// What the shop has, what its cutters cost in detail, and what limits their feeds.

#include "cutting/feeds.hpp"
#include "job/detail_table.hpp"
#include "job/json_values.hpp"
#include "page/api.hpp"

#include <fmt/format.h>

namespace kerfwright::page {
namespace {

using job::tidy;

/// The library of the job that is open, else the shipped one. The pointer keeps the job alive.
std::shared_ptr<const shop::Library> library_of(const Desk& desk) {
    const OpenedPtr opened = desk.session.opened();
    if (opened && opened->job) return {opened, &opened->job->library};
    return {std::shared_ptr<const shop::Library>(), &shop::shipped()};
}

template <class T>
const T& known(const T* found, const char* what, const std::string& name, const std::string& names) {
    if (found == nullptr)
        throw BadRequest{{"", 0, 0, fmt::format("there is no {} \"{}\"", what, name), "use one of " + names}};
    return *found;
}

cutting::Step step_named(const std::string& name) {
    using cutting::Step;
    for (const Step step : {Step::profile, Step::finish, Step::pocket, Step::rest, Step::drill})
        if (name == to_string(step)) return step;
    throw BadRequest{{"", 0, 0, "there is no step \"" + name + "\"", "use profile, finish, pocket, rest or drill"}};
}

double positive(const Request& request, const char* name) {
    const double value = number_parameter(request, name);
    if (!(value > 0) || value > 1e6)
        throw BadRequest{{"", 0, 0, std::string("\"") + name + "\" is not positive", "write a positive number"}};
    return value;
}

/// The setting asked about: what is not given comes from the plan, or from the cutter where there is no plan.
cutting::Setting setting_of(const Request& request, const Result<cutting::FeedPlan>& plan, const shop::Cutter& cutter,
                            double depth) {
    const auto given = [&](const char* name, double otherwise) {
        return request.query.contains(name) ? positive(request, name) : otherwise;
    };
    cutting::Setting setting = plan ? plan.value().setting : cutting::Setting{};
    if (!plan && (!request.query.contains("n") || !request.query.contains("vf")))
        throw BadRequest{{"", 0, 0, "there is no plan to change: " + plan.problem().what, "give n and vf"}};
    setting.n = given("n", setting.n);
    setting.vf = given("vf", setting.vf);
    setting.ap = given("ap", plan ? setting.ap : depth);
    setting.ae = given("ae", plan ? setting.ae : cutter.DC);
    setting.fz = setting.vf / (setting.n * cutter.ZEFP);
    return setting;
}

Json json_of(const std::vector<job::CutterDetail>& rows) {
    Json json = Json::array();
    for (const job::CutterDetail& row : rows)
        json.push_back({{"material", row.material},
                        {"cutter", row.cutter},
                        {"DC", tidy(row.DC)},
                        {"moved_max", tidy(row.moved_max)},
                        {"moved_in", row.moved_in},
                        {"area_lost", tidy(row.area_lost)},
                        {"trimmed", row.peninsulas},
                        {"wall", tidy(row.narrowest)},
                        {"wall_in", row.narrowest_in},
                        {"wall_min", tidy(row.wall_min)},
                        {"within", row.within},
                        {"largest", row.largest},
                        {"chosen", row.chosen}});
    return json;
}

} // namespace

Reply get_shop(Desk& desk, const Request&) {
    const auto held = library_of(desk);
    const shop::Library& library = *held;
    Json json;
    json["materials"] = Json::array();
    for (const shop::Material& m : library.materials)
        json["materials"].push_back(
            {{"name", m.name}, {"title", m.title}, {"kind", to_string(m.kind)}, {"grain", m.grain}});
    json["cutters"] = Json::array();
    for (const shop::Cutter& c : library.cutters)
        json["cutters"].push_back({{"name", c.name},
                                   {"title", c.title},
                                   {"family", c.family},
                                   {"DC", tidy(c.DC)},
                                   {"ZEFP", c.ZEFP},
                                   {"APMX", tidy(c.APMX)},
                                   {"LPR", tidy(c.LPR)}});
    json["machines"] = Json::array();
    for (const shop::Machine& m : library.machines)
        json["machines"].push_back(
            {{"name", m.name},
             {"title", m.title},
             {"travel", {tidy(m.axes[0].travel), tidy(m.axes[1].travel), tidy(m.axes[2].travel)}}});
    using shop::Hold;
    json["holds"] = Json::array();
    for (const Hold hold : {Hold::tape, Hold::clamps, Hold::screws, Hold::vacuum, Hold::skin, Hold::tabs})
        json["holds"].push_back(to_string(hold));
    return reply_json(json);
}

Reply get_detail(Desk& desk, const Request&) {
    const OpenedPtr opened = job_with_drawing(desk);
    const auto made = desk.details.get(opened->file.string() + opened->revision, "", [&] {
        auto table = job::detail_table(*opened->job, *opened->drawing, 0);
        if (!table) throw NotNow{{400, table.problem()}};
        return Json{{"detail", opened->job->detail}, {"cutters", json_of(table.value())}};
    });
    return reply_json(*made);
}

Reply get_feeds(Desk& desk, const Request& request) {
    const OpenedPtr opened = desk.session.opened();
    const auto held = library_of(desk);
    const shop::Library& library = *held;
    const std::string material_name = parameter(request, "material"), cutter_name = parameter(request, "cutter");
    const auto& material =
        known(find_material(library, material_name), "material", material_name, material_names(library));
    const auto& cutter = known(find_cutter(library, cutter_name), "cutter", cutter_name, cutter_names(library));
    shop::Machine machine = opened && opened->job ? opened->job->machine : library.machines.front();
    if (request.query.contains("machine")) {
        const std::string name = parameter(request, "machine");
        if (name != machine.name) machine = known(find_machine(library, name), "machine", name, machine_names(library));
    }
    cutting::Task task;
    task.step = step_named(parameter(request, "step"));
    task.depth = positive(request, "depth");

    const auto plan = cutting::plan_feeds(material, cutter, machine, task);
    const auto& query = request.query;
    if (!query.contains("n") && !query.contains("vf") && !query.contains("ap") && !query.contains("ae")) {
        if (!plan) return refuse(400, plan.problem());
        return reply_json(job::json_of(plan.value()));
    }
    const cutting::Setting setting = setting_of(request, plan, cutter, task.depth);
    return reply_json(job::json_of(cutting::judge(material, cutter, machine, task, setting)));
}

} // namespace kerfwright::page
