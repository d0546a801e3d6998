#include "job/json_values.hpp"
#include "job/plan.hpp"

namespace kerfwright::job {
namespace {

using job::json_of;

constexpr const char* kSchema = "kerfwright.plan/1";

Json json_of(const holding::Tab& tab) {
    return {{"at", {tidy(tab.at.x), tidy(tab.at.y)}},
            {"width", tidy(tab.width)},
            {"thickness", tidy(tab.thickness)},
            {"base", tidy(tab.base)}};
}

Json json_of(const PlannedPiece& piece) {
    Json tabs = Json::array();
    for (const holding::Tab& tab : piece.tabs)
        tabs.push_back(json_of(tab));
    return {{"id", piece.id},
            {"region", piece.region},
            {"material", piece.material},
            {"thickness", tidy(piece.thickness)},
            {"sheet", piece.sheet},
            {"setup", piece.setup},
            {"cutter", piece.cutter},
            {"placement", json_of(piece.placement)},
            {"margin", tidy(piece.margin)},
            {"skin", tidy(piece.skin)},
            {"bed", tidy(piece.bed)},
            {"tabs", tabs},
            {"outline", json_of(piece.outline)},
            {"as_cut", json_of(piece.as_cut)}};
}

PlannedPiece piece_from(const Json& json) {
    PlannedPiece piece;
    piece.id = text(json, "id");
    piece.region = text(json, "region");
    piece.material = text(json, "material");
    piece.thickness = number(json, "thickness");
    piece.sheet = text(json, "sheet");
    piece.setup = text(json, "setup");
    piece.cutter = text(json, "cutter");
    piece.placement = placement_from(member(json, "placement"));
    piece.margin = number(json, "margin");
    piece.skin = number(json, "skin");
    if (json.contains("bed")) piece.bed = number(json, "bed");
    for (const Json& tab : member(json, "tabs"))
        piece.tabs.push_back(
            {vec_from(member(tab, "at")), number(tab, "width"), number(tab, "thickness"), number(tab, "base")});
    piece.outline = polygon_from(member(json, "outline"));
    piece.as_cut = polygon_from(member(json, "as_cut"));
    return piece;
}

Json json_of(const PlannedTray& tray) {
    Json floors = Json::array();
    for (const PlannedFloor& floor : tray.floors) {
        Json support = Json::array();
        for (const Support& one : floor.support)
            support.push_back({{"piece", one.piece},
                               {"share", tidy(one.share)},
                               {"thickness", tidy(one.thickness)},
                               {"top", tidy(one.top)}});
        floors.push_back({{"piece", floor.piece},
                          {"depth", tidy(floor.depth)},
                          {"support", support},
                          {"rings", json_of(floor.area)}});
    }
    return {{"setup", tray.setup},
            {"sheet", tray.sheet},
            {"placement", json_of(tray.placement)},
            {"wall", json_of(tray.wall)},
            {"wall_as_cut", json_of(tray.wall_as_cut)},
            {"floors", floors}};
}

PlannedTray tray_from(const Json& json) {
    PlannedTray tray;
    tray.setup = text(json, "setup");
    tray.sheet = text(json, "sheet");
    tray.placement = placement_from(member(json, "placement"));
    tray.wall = shape_from(member(json, "wall"));
    tray.wall_as_cut = shape_from(member(json, "wall_as_cut"));
    for (const Json& floor : member(json, "floors")) {
        tray.floors.push_back({text(floor, "piece"), number(floor, "depth"), shape_from(member(floor, "rings")), {}});
        if (!floor.contains("support")) continue; // plans of before floors were stepped
        for (const Json& one : member(floor, "support"))
            tray.floors.back().support.push_back(
                {text(one, "piece"), number(one, "share"), number(one, "thickness"), number(one, "top")});
    }
    return tray;
}

Json json_of(const PlannedSeam& seam) {
    Json spots = Json::array();
    for (const PlannedSpot& spot : seam.spots)
        spots.push_back({{"why", spot.why},
                         {"low", {tidy(spot.box.low.x), tidy(spot.box.low.y)}},
                         {"high", {tidy(spot.box.high.x), tidy(spot.box.high.y)}}});
    return {{"a", seam.a},
            {"b", seam.b},
            {"length", tidy(seam.length)},
            {"asked", tidy(seam.asked)},
            {"gap_min", tidy(seam.gap_min)},
            {"gap_mean", tidy(seam.gap_mean)},
            {"gap_max", tidy(seam.gap_max)},
            {"moved_max", tidy(seam.moved_max)},
            {"moved_mean", tidy(seam.moved_mean)},
            {"spots", spots}};
}

PlannedSeam seam_from(const Json& json) {
    std::vector<PlannedSpot> spots;
    for (const Json& spot : member(json, "spots"))
        spots.push_back({text(spot, "why"), {vec_from(member(spot, "low")), vec_from(member(spot, "high"))}});
    return {text(json, "a"),         text(json, "b"),           number(json, "length"),
            number(json, "asked"),   number(json, "gap_min"),   number(json, "gap_mean"),
            number(json, "gap_max"), number(json, "moved_max"), number(json, "moved_mean"),
            std::move(spots)};
}

Json json_of(const PlannedSetup& setup) {
    Json programs = Json::array();
    for (const PlannedProgram& program : setup.programs)
        programs.push_back({{"file", program.file},
                            {"cutter", program.cutter},
                            {"n", tidy(program.n)},
                            {"time", tidy(program.time)},
                            {"path", tidy(program.path)}});
    const plane::Box box = plane::bounds(setup.sheet.outline);
    Json hold = Json::array();
    for (const shop::Hold h : setup.sheet.hold)
        hold.push_back(to_string(h));
    return {{"name", setup.name},
            {"sheet", setup.sheet.name},
            {"stock", {{"size", {tidy(box.width()), tidy(box.height())}}, {"thickness", tidy(setup.sheet.thickness)}}},
            {"zero", setup.zero},
            {"z_zero_on_bed", setup.z_zero_on_bed},
            {"hold", hold},
            {"skin", tidy(setup.skin)},
            {"margin_min", tidy(setup.margin_min)},
            {"programs", programs},
            {"notes", setup.notes},
            {"shelf", json_of(setup.sheet)}};
}

PlannedSetup setup_from(const Json& json) {
    PlannedSetup setup;
    setup.name = text(json, "name");
    setup.sheet = sheet_from(member(json, "shelf"));
    setup.zero = text(json, "zero");
    setup.z_zero_on_bed = member(json, "z_zero_on_bed").get<bool>();
    setup.skin = number(json, "skin");
    setup.margin_min = number(json, "margin_min");
    for (const Json& program : member(json, "programs"))
        setup.programs.push_back({text(program, "file"), text(program, "cutter"), number(program, "time"),
                                  number(program, "n"), number(program, "path"), ""});
    setup.notes = member(json, "notes").get<std::vector<std::string>>();
    return setup;
}

constexpr cutting::Step kSteps[] = {cutting::Step::profile, cutting::Step::finish, cutting::Step::pocket,
                                    cutting::Step::rest, cutting::Step::drill};

} // namespace

Json json_of(const cutting::FeedPlan& plan) {
    Json limits = Json::array();
    for (const cutting::Limit& limit : plan.limits)
        limits.push_back({{"name", limit.name},
                          {"value", tidy(limit.value)},
                          {"bound", tidy(limit.bound)},
                          {"at_least", limit.at_least},
                          {"unit", limit.unit},
                          {"holds", limit.holds()},
                          {"reserve", tidy(limit.reserve())},
                          {"loosen", limit.loosen}});
    const cutting::Setting& s = plan.setting;
    return {{"material", plan.material},
            {"cutter", plan.cutter},
            {"machine", plan.machine},
            {"step", to_string(plan.step)},
            {"n", tidy(s.n)},
            {"vf", tidy(s.vf)},
            {"fz", tidy(s.fz)},
            {"ap", tidy(s.ap)},
            {"ae", tidy(s.ae)},
            {"passes", s.passes},
            {"plunge_feed", tidy(s.plunge_feed)},
            {"ramp_angle", tidy(s.ramp_angle)},
            {"slot_width", tidy(s.slot_width)},
            {"power", tidy(plan.loads.power)},
            {"force", tidy(plan.loads.force_peak)},
            {"force_mean", tidy(plan.loads.force_mean)},
            {"torque", tidy(plan.loads.torque)},
            {"deflection", tidy(plan.loads.deflection)},
            {"binding", plan.binding},
            {"cutter_life", tidy(plan.cutter_life)},
            {"limits", limits},
            {"notes", plan.notes}};
}

namespace {

cutting::FeedPlan feed_from(const Json& json) {
    cutting::FeedPlan plan;
    plan.material = text(json, "material");
    plan.cutter = text(json, "cutter");
    plan.machine = text(json, "machine");
    const std::string step = text(json, "step");
    for (const cutting::Step known : kSteps)
        if (step == to_string(known)) plan.step = known;
    cutting::Setting& s = plan.setting;
    s.n = number(json, "n");
    s.vf = number(json, "vf");
    s.fz = number(json, "fz");
    s.ap = number(json, "ap");
    s.ae = number(json, "ae");
    s.passes = static_cast<int>(number(json, "passes"));
    s.plunge_feed = number(json, "plunge_feed");
    s.ramp_angle = number(json, "ramp_angle");
    s.slot_width = number(json, "slot_width");
    plan.loads.power = number(json, "power");
    plan.loads.force_peak = number(json, "force");
    plan.loads.force_mean = number(json, "force_mean");
    plan.loads.torque = number(json, "torque");
    plan.loads.deflection = number(json, "deflection");
    plan.binding = text(json, "binding");
    plan.cutter_life = number(json, "cutter_life");
    for (const Json& limit : member(json, "limits"))
        plan.limits.push_back({text(limit, "name"), number(limit, "value"), number(limit, "bound"),
                               member(limit, "at_least").get<bool>(), text(limit, "unit"), text(limit, "loosen")});
    plan.notes = member(json, "notes").get<std::vector<std::string>>();
    return plan;
}

Json json_of(const Price& price) {
    Json lines = Json::array();
    for (const PriceLine& line : price.lines)
        lines.push_back(
            {{"what", line.what}, {"low", tidy(line.low)}, {"likely", tidy(line.likely)}, {"high", tidy(line.high)}});
    return {{"low", tidy(price.low)},
            {"likely", tidy(price.likely)},
            {"high", tidy(price.high)},
            {"currency", price.currency},
            {"lines", lines}};
}

Price price_from(const Json& json) {
    Price price{number(json, "low"), number(json, "likely"), number(json, "high"), text(json, "currency"), {}};
    for (const Json& line : member(json, "lines"))
        price.lines.push_back({text(line, "what"), number(line, "low"), number(line, "likely"), number(line, "high")});
    return price;
}

Json json_of(const Assembly& assembly) {
    return {{"slack", tidy(assembly.slack)},
            {"goes_together", assembly.goes_together},
            {"chance", tidy(assembly.shop.chance)},
            {"chance_low", tidy(assembly.shop.low)},
            {"chance_high", tidy(assembly.shop.high)},
            {"customer",
             {{"chance", tidy(assembly.customer.chance)},
              {"low", tidy(assembly.customer.low)},
              {"high", tidy(assembly.customer.high)}}},
            {"samples", assembly.samples},
            {"seed", assembly.seed},
            {"coating", tidy(assembly.coating)},
            {"tight", assembly.tight}};
}

Json json_of(const EdgeUse& use) {
    return {{"cutter", use.cutter},
            {"path", tidy(use.path)},
            {"edges", tidy(use.edges)},
            {"fresh_before", use.fresh_before}};
}

EdgeUse edge_use_from(const Json& json) {
    return {text(json, "cutter"), number(json, "path"), number(json, "edges"),
            member(json, "fresh_before").get<std::vector<std::string>>()};
}

Plan plan_from(const Json& json) {
    if (text(json, "schema") != kSchema) throw Unfit("the schema is not " + std::string(kSchema));
    Plan plan;
    plan.title = text(json, "title");
    plan.job_revision = text(json, "job_revision");
    for (const Json& piece : member(json, "pieces"))
        plan.pieces.push_back(piece_from(piece));
    plan.has_tray = json.contains("tray");
    if (plan.has_tray) plan.tray = tray_from(json.at("tray"));
    for (const Json& seam : member(json, "seams"))
        plan.seams.push_back(seam_from(seam));
    for (const Json& cutter : member(json, "cutters"))
        plan.cutters.push_back(cutter_from(cutter));
    for (const Json& material : member(json, "materials"))
        plan.materials.push_back(material_from(material));
    plan.machine = machine_from(member(json, "machine"));
    const Json& assembly = member(json, "assembly");
    const Json& customer = member(assembly, "customer");
    plan.assembly = {number(assembly, "slack"),
                     member(assembly, "goes_together").get<bool>(),
                     {number(assembly, "chance"), number(assembly, "chance_low"), number(assembly, "chance_high")},
                     {number(customer, "chance"), number(customer, "low"), number(customer, "high")},
                     static_cast<int>(number(assembly, "samples")),
                     member(assembly, "seed").get<std::uint64_t>(),
                     member(assembly, "tight").get<std::vector<std::string>>(),
                     number(assembly, "coating")};
    for (const Json& setup : member(json, "setups"))
        plan.setups.push_back(setup_from(setup));
    for (const Json& feed : member(json, "feeds"))
        plan.feeds.push_back(feed_from(feed));
    for (const Json& use : member(json, "wear"))
        plan.wear.push_back(edge_use_from(use));
    plan.price = price_from(member(json, "price"));
    plan.notes = member(json, "notes").get<std::vector<std::string>>();
    return plan;
}

template <class Values>
Json array_of(const Values& values) {
    Json json = Json::array();
    for (const auto& value : values)
        json.push_back(json_of(value));
    return json;
}

} // namespace

std::string to_json(const Plan& plan) {
    Json json;
    json["schema"] = kSchema;
    json["title"] = plan.title;
    json["job_revision"] = plan.job_revision;
    json["machine"] = json_of(plan.machine);
    json["cutters"] = array_of(plan.cutters);
    json["materials"] = array_of(plan.materials);
    json["setups"] = array_of(plan.setups);
    json["pieces"] = array_of(plan.pieces);
    if (plan.has_tray) json["tray"] = json_of(plan.tray);
    json["seams"] = array_of(plan.seams);
    json["assembly"] = json_of(plan.assembly);
    json["feeds"] = Json::array();
    for (const cutting::FeedPlan& feed : plan.feeds)
        json["feeds"].push_back(json_of(feed));
    json["wear"] = array_of(plan.wear);
    json["price"] = json_of(plan.price);
    json["notes"] = plan.notes;
    return json.dump(1) + "\n";
}

Result<Plan> plan_from_json(std::string_view text, const std::string& file) {
    constexpr const char* kRemedy = "make the plan again with `kerfwright plan`";
    try {
        return plan_from(Json::parse(text));
    } catch (const Unfit& unfit) {
        return Problem{file, 0, 0, unfit.what(), kRemedy};
    } catch (const nlohmann::json::exception& error) {
        return Problem{file, 0, 0, std::string("is not a plan: ") + error.what(), kRemedy};
    }
}

} // namespace kerfwright::job
