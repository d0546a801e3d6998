#include "job/job_file.hpp"

#include "job/files.hpp"
#include "job/shop_log.hpp"
#include "job/toml_fields.hpp"
#include "plane/boolean.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <set>

namespace kerfwright::job {
namespace fs = std::filesystem;
namespace {

constexpr double kLargestSheet = 20'000; // mm
constexpr double kLargestNumber = 1e9;

shop::Hold hold_named(const Fields& fields, const toml::node& at, const std::string& name) {
    using shop::Hold;
    for (const Hold hold : {Hold::tape, Hold::clamps, Hold::screws, Hold::vacuum, Hold::skin, Hold::tabs})
        if (name == to_string(hold)) return hold;
    fields.fail(at, "\"" + name + "\" is no way to hold a sheet", "use tape, clamps, screws, vacuum, skin or tabs");
}

void read_outline(const Fields& fields, shop::Sheet& sheet) {
    if (fields.has("size") == fields.has("outline"))
        fields.fail("needs \"size\" or \"outline\", one of them", "write size = [x, y]");
    if (fields.has("size")) {
        const toml::node& node = fields.node("size");
        const auto [x, y] = fields.pair(node, "\"size\"");
        if (x <= 0 || y <= 0) fields.fail(node, "\"size\" is not positive", "write the sheet's width and height");
        sheet.outline.outer = plane::rectangle({0, 0}, {x, y});
        return;
    }
    sheet.offcut = true;
    plane::Ring ring;
    for (const toml::node& point : fields.array("outline")) {
        const auto [x, y] = fields.pair(point, "a point of \"outline\"");
        ring.push_back(plane::to_grid({x, y}));
    }
    const plane::Shape clean = plane::normal({ring}, plane::FillRule::even_odd);
    if (clean.size() != 1 || plane::area(clean) < 1)
        fields.fail(fields.node("outline"), "\"outline\" is not one closed area that does not cross itself",
                    "list its corners in order");
    // Sheet coordinates begin at the lower left of the outline.
    const plane::Vec low = plane::bounds(clean).low;
    sheet.outline = plane::placed(clean.front(), {-low.x, -low.y, 0});
}

/// [x, y, height], from the place where Z is set. More than this wants skimming, not a map.
void read_bed(const Fields& fields, shop::Sheet& sheet) {
    constexpr double kMost = 0.3; // mm
    if (!fields.has("bed")) return;
    for (const toml::node& node : fields.array("bed")) {
        const toml::array* point = node.as_array();
        if (point == nullptr || point->size() != 3)
            fields.fail(node, "a point of the bed is no triple", "write [x, y, height]");
        const auto value = [&](std::size_t i) { return fields.length(*point->get(i), "a point of the bed"); };
        if (!(std::abs(value(2)) <= kMost))
            fields.fail(node, "the bed is off by more than 0.3 mm", "skim the bed, then measure it again");
        sheet.bed.push_back({{value(0), value(1)}, value(2)});
    }
    if (sheet.bed.size() < 3)
        fields.fail(fields.node("bed"), "the bed has fewer than three points", "measure more places, or take it out");
}

void read_measured(const Fields& fields, shop::Sheet& sheet) {
    if (!fields.has("measured")) return;
    for (const toml::node& node : fields.array("measured")) {
        const toml::array* point = node.as_array();
        if (point == nullptr || point->size() != 3)
            fields.fail(node, "a measured point is no triple", "write [x, y, thickness]");
        const auto value = [&](std::size_t i) { return fields.length(*point->get(i), "a measured point"); };
        if (value(2) <= 0) fields.fail(node, "a measured thickness is not positive", "write what was measured");
        sheet.measured.push_back({{value(0), value(1)}, value(2)});
    }
}

void read_clamps(const Fields& fields, shop::Sheet& sheet) {
    if (!fields.has("clamps")) return;
    for (const toml::node& node : fields.array("clamps")) {
        const Fields clamp = fields.table(node, "clamp of " + sheet.name);
        const auto [x, y] = clamp.pair(clamp.node("at"), "\"at\"");
        const toml::node& size = clamp.node("size");
        const auto [w, h] = clamp.pair(size, "\"size\"");
        if (w <= 0 || h <= 0) clamp.fail(size, "\"size\" is not positive", "write the clamp's width and depth");
        sheet.clamps.push_back({{x, y}, {w, h}, clamp.quantity_or("height", Dimension::length, 0, 500, 25)});
        clamp.finish();
    }
}

shop::Sheet read_sheet(const Fields& fields, const shop::Library& library, int line) {
    shop::Sheet sheet;
    sheet.line = line;
    sheet.name = fields.text("name");
    if (sheet.name.empty() || sheet.name.find_first_of("/\\ \t\n\"") != std::string::npos)
        fields.fail(fields.node("name"), "\"name\" is empty or holds blanks or slashes",
                    "use letters, digits and hyphens: it names files");
    sheet.material = fields.text("material");
    if (find_material(library, sheet.material) == nullptr)
        fields.fail(fields.node("material"), "there is no material \"" + sheet.material + "\"",
                    "use one of " + material_names(library));
    read_outline(fields, sheet);
    sheet.thickness = fields.quantity("thickness", Dimension::length, 0.05, 300);
    read_measured(fields, sheet);
    read_bed(fields, sheet);
    sheet.grain_deg = fields.quantity_or("grain", Dimension::angle, -360, 360, 0);
    if (fields.has("hold"))
        for (const toml::node& node : fields.array("hold"))
            sheet.hold.insert(hold_named(fields, node, node.value_or(std::string())));
    else
        sheet.hold = {shop::Hold::tabs, shop::Hold::clamps};
    read_clamps(fields, sheet);
    sheet.price = fields.quantity_or("price", Dimension::ratio, 0, kLargestNumber, -1);
    fields.finish();
    return sheet;
}

void read_drawing_table(const Fields& fields, Job& job) {
    job.drawing_file = fields.text("file");
    job.drawing_line = static_cast<int>(fields.node("file").source().begin.line);
    if (fields.has("width") && fields.has("scale"))
        fields.fail(fields.node("scale"), "\"width\" and \"scale\" both say how large the set becomes",
                    "keep one of them");
    job.read.width = fields.quantity_or("width", Dimension::length, 1, kLargestSheet, 0);
    job.read.scale = fields.quantity_or("scale", Dimension::ratio, 1e-6, 1e6, 1);
    job.read.region = fields.text_or("region", "id");
    const bool known = job.read.region == "id" || job.read.region == "layer" || job.read.region == "fill" ||
                       job.read.region.rfind("property:", 0) == 0;
    if (!known)
        fields.fail(fields.node("region"), "\"" + job.read.region + "\" does not say what names a region",
                    "use \"id\", \"layer\", \"fill\" or \"property:NAME\"");
    job.read.snap = fields.quantity_or("snap", Dimension::length, 0.0001, 5, 0.05);
    job.read.projection = fields.text_or("projection", "");
    fields.finish();
}

void read_fit(const Fields& fields, Job& job) {
    job.clearance = fields.quantity_or("clearance", Dimension::length, 0, 10, job.clearance);
    job.tray_clearance = fields.quantity_or("tray_clearance", Dimension::length, 0, 20, job.clearance * 2);
    job.detail = fields.quantity_or("detail", Dimension::length, 0.001, 100, job.detail);
    fields.finish();
}

void read_tray(const Fields& fields, Job& job) {
    TrayWish tray;
    tray.sheet = fields.text("sheet");
    tray.line = static_cast<int>(fields.node("sheet").source().begin.line);
    tray.column = static_cast<int>(fields.node("sheet").source().begin.column);
    tray.border = fields.quantity_or("border", Dimension::length, 0, 1000, 20);
    if (fields.has("top")) {
        const toml::node& top = fields.node("top");
        if (!(top.is_string() && top.as_string()->get() == "flush"))
            tray.proud = fields.quantity("top", Dimension::length, -100, 100);
    }
    fields.finish();
    job.tray = tray;
}

void read_pieces(const Fields& fields, Job& job) {
    for (const auto& [key, value] : fields.raw()) {
        const std::string pattern(key.str());
        if (!fields.has(pattern.c_str())) continue;
        const std::string material = fields.text(pattern.c_str());
        if (find_material(job.library, material) == nullptr)
            fields.fail(value, "there is no material \"" + material + "\"",
                        "use one of " + material_names(job.library));
        job.pieces.push_back({pattern, material, static_cast<int>(key.source().begin.line),
                              static_cast<int>(key.source().begin.column)});
    }
    std::sort(job.pieces.begin(), job.pieces.end(), [](const auto& a, const auto& b) { return a.line < b.line; });
}

PlacedWish read_placed(const Fields& fields, int line) {
    PlacedWish wish;
    wish.line = line;
    wish.piece = fields.text("piece");
    wish.sheet = fields.text("sheet");
    const auto [x, y] = fields.pair(fields.node("at"), "\"at\"");
    wish.placement = {x, y, fields.quantity_or("angle", Dimension::angle, -360, 360, 0)};
    fields.finish();
    return wish;
}

void read_price(const Fields& fields, Job& job) {
    job.price.currency = fields.text_or("currency", job.price.currency);
    job.price.hour_rate = fields.quantity_or("hour_rate", Dimension::ratio, 0, kLargestNumber, job.price.hour_rate);
    job.price.setup_minutes = fields.quantity_or("setup_minutes", Dimension::ratio, 0, 1e5, job.price.setup_minutes);
    job.price.finish_minutes = fields.quantity_or("finish_minutes", Dimension::ratio, 0, 1e5, job.price.finish_minutes);
    job.price.margin = fields.quantity_or("margin", Dimension::ratio, -0.99, 100, job.price.margin);
    fields.finish();
}

/// { humidity = [low, high], temperature = [low, high] }, in % RH and °C; one that is left out stays as it was.
void read_climate_range(const Fields& fields, fit::ClimateRange& range) {
    const auto read = [&](const char* key, double& low, double& high) {
        if (!fields.has(key)) return;
        const toml::array& pair = fields.array(key);
        const auto first = pair.size() == 2 ? pair.get(0)->value<double>() : std::nullopt;
        const auto second = pair.size() == 2 ? pair.get(1)->value<double>() : std::nullopt;
        if (!first || !second)
            fields.fail(pair, "\"" + std::string(key) + "\" is no pair of numbers", "write [low, high]");
        low = *first;
        high = *second;
        if (const auto fault = check(range)) fields.fail(pair, fault->what, fault->remedy);
    };
    read("humidity", range.low.humidity, range.high.humidity);
    read("temperature", range.low.temperature, range.high.temperature);
    fields.finish();
}

void read_climate(const Fields& fields, Job& job) {
    if (fields.has("shop")) read_climate_range(fields.table("shop"), job.climate.shop);
    if (fields.has("customer")) read_climate_range(fields.table("customer"), job.climate.customer);
    job.climate.coating = fields.quantity_or("coating", Dimension::length, 0, 2, job.climate.coating);
    fields.finish();
}

/// Text of a file that the job names; its fault is told at the place in the job file.
std::string named_file(const Fields& fields, Job& job, const toml::node& at, const std::string& name,
                       const FileReader& read) {
    auto bytes = read(name);
    if (!bytes) fields.fail(at, to_string(bytes.problem()), "check the name; it is relative to the job file");
    job.named_files += bytes.value();
    return std::move(bytes).value();
}

template <class Values>
void add_to_library(std::vector<Values>& library, Result<std::vector<Values>> more) {
    if (!more) throw FieldFault{more.problem()};
    for (Values& value : more.value()) {
        std::erase_if(library, [&](const Values& old) { return old.name == value.name; });
        library.push_back(std::move(value));
    }
}

void read_machine(const Fields& fields, Job& job, const FileReader& read) {
    if (fields.has("name") == fields.has("file"))
        fields.fail("needs \"name\" or \"file\", one of them", "write name = \"gantry-600\"");
    if (fields.has("file")) {
        const std::string name = fields.text("file");
        auto machines = shop::read_machines(named_file(fields, job, fields.node("file"), name, read), name);
        if (!machines) throw FieldFault{machines.problem()};
        if (machines.value().empty())
            fields.fail(fields.node("file"), name + " holds no machine", "describe one in it");
        job.machine = machines.value().front();
    } else {
        const std::string name = fields.text("name");
        const shop::Machine* machine = find_machine(job.library, name);
        if (machine == nullptr)
            fields.fail(fields.node("name"), "there is no machine \"" + name + "\"",
                        "use one of " + machine_names(job.library) + ", or file = \"...\"");
        job.machine = *machine;
    }
    fields.finish();
}

bool is_toml(const std::string& name) {
    return name.size() > 5 && name.ends_with(".toml");
}

void read_shop(const Fields& fields, Job& job, const FileReader& read) {
    if (fields.has("materials")) {
        for (const std::string& name : fields.texts("materials"))
            add_to_library(job.library.materials,
                           shop::read_materials(named_file(fields, job, fields.node("materials"), name, read), name));
    }
    if (fields.has("cutters")) {
        for (const toml::node& node : fields.array("cutters")) {
            const std::string name = node.value_or(std::string());
            if (is_toml(name)) {
                auto more = shop::read_cutters(named_file(fields, job, node, name, read), name);
                if (!more) throw FieldFault{more.problem()};
                for (const shop::Cutter& cutter : more.value())
                    job.cutters.push_back(cutter);
                add_to_library(job.library.cutters, std::move(more));
                continue;
            }
            const shop::Cutter* cutter = find_cutter(job.library, name);
            if (cutter == nullptr)
                fields.fail(node, "there is no cutter \"" + name + "\"",
                            "use some of " + cutter_names(job.library) + ", or name a .toml file");
            job.cutters.push_back(*cutter);
        }
    }
    if (fields.has("log")) {
        const std::string name = fields.text("log");
        const auto log = read_log_bytes(named_file(fields, job, fields.node("log"), name, read), name);
        if (!log) fields.fail(fields.node("log"), to_string(log.problem()), "name a log, or take the line out");
        if (job.cutters.empty()) job.cutters = job.library.cutters;
        job.notes = apply_log(log.value(), job.cutters, job.library.materials);
    }
    fields.finish();
}

void read_cutter_choice(const Fields& fields, Job& job) {
    for (const auto& [key, value] : fields.raw()) {
        const std::string material(key.str());
        if (!fields.has(material.c_str())) continue;
        const std::string cutter = fields.text(material.c_str());
        if (material != "tray" && find_material(job.library, material) == nullptr)
            fields.fail(value, "\"" + material + "\" is neither a material nor \"tray\"",
                        "use one of tray, " + material_names(job.library));
        if (find_cutter(job.library, cutter) == nullptr)
            fields.fail(value, "there is no cutter \"" + cutter + "\"", "use one of " + cutter_names(job.library));
        const bool owned =
            std::any_of(job.cutters.begin(), job.cutters.end(), [&](const auto& c) { return c.name == cutter; });
        if (!owned) fields.fail(value, "the shop has no cutter \"" + cutter + "\"", "add it to cutters in [shop]");
        job.cutter_for[material] = cutter;
    }
}

void check_sheets(const Fields& fields, const Job& job) {
    std::set<std::string> names;
    for (const shop::Sheet& sheet : job.sheets)
        if (!names.insert(sheet.name).second)
            throw FieldFault{
                {job.file, sheet.line, 1, "two sheets are called \"" + sheet.name + "\"", "give each its own name"}};
    if (job.tray && !names.contains(job.tray->sheet))
        throw FieldFault{{job.file, job.tray->line, job.tray->column,
                          "[tray]: there is no sheet \"" + job.tray->sheet + "\"", "name one of the [[sheet]] tables"}};
    if (job.sheets.empty()) fields.fail("there is no [[sheet]]", "add one for each material");
}

Job read_tables(const toml::table& root, const std::string& file, const FileReader& read) {
    Job job;
    job.file = file;
    job.library = shop::shipped();
    std::string units = "mm";
    if (const auto* written = root.get_as<std::string>("units")) units = written->get();
    const Fields fields(root, file, "", units);
    if (fields.has("units") && length_unit(units) == 0)
        fields.fail(fields.node("units"), "\"" + units + "\" is no unit of length", "use \"mm\" or \"in\"");
    const double format = fields.quantity("format", Dimension::ratio, 0, kLargestNumber);
    if (format != 1)
        fields.fail(fields.node("format"), "this job file is of another format", "this version reads format = 1");
    job.title = fields.text_or("title", fs::path(file).stem().string());

    if (fields.has("shop")) read_shop(fields.table("shop"), job, read);
    read_drawing_table(fields.table("drawing"), job);
    if (fields.has("fit")) read_fit(fields.table("fit"), job);
    if (fields.has("tray")) read_tray(fields.table("tray"), job);
    read_pieces(fields.table("pieces"), job);
    if (fields.has("sheet")) {
        for (const toml::node& node : fields.array("sheet"))
            job.sheets.push_back(
                read_sheet(fields.table(node, "[[sheet]]"), job.library, static_cast<int>(node.source().begin.line)));
    }
    if (fields.has("placed")) {
        for (const toml::node& node : fields.array("placed"))
            job.placed.push_back(
                read_placed(fields.table(node, "[[placed]]"), static_cast<int>(node.source().begin.line)));
    }
    read_machine(fields.table("machine"), job, read);
    if (job.cutters.empty()) job.cutters = job.library.cutters;
    if (fields.has("cutter")) read_cutter_choice(fields.table("cutter"), job);
    if (fields.has("price")) read_price(fields.table("price"), job);
    if (fields.has("climate")) read_climate(fields.table("climate"), job);
    fields.finish();
    check_sheets(fields, job);
    return job;
}

} // namespace

bool matches(std::string_view pattern, std::string_view name) {
    // Greedy matching with one point of return, linear in practice.
    std::size_t p = 0, n = 0, star = std::string_view::npos, mark = 0;
    while (n < name.size()) {
        if (p < pattern.size() && pattern[p] == '*') {
            star = p++;
            mark = n;
        } else if (p < pattern.size() && pattern[p] == name[n]) {
            ++p;
            ++n;
        } else if (star != std::string_view::npos) {
            p = star + 1;
            n = ++mark;
        } else {
            return false;
        }
    }
    while (p < pattern.size() && pattern[p] == '*')
        ++p;
    return p == pattern.size();
}

const PiecePattern* pattern_for(const std::vector<PiecePattern>& patterns, std::string_view name) {
    const PiecePattern* best = nullptr;
    const auto weight = [](const PiecePattern& p) {
        return p.pattern.size() - static_cast<std::size_t>(std::count(p.pattern.begin(), p.pattern.end(), '*'));
    };
    for (const PiecePattern& pattern : patterns)
        if (matches(pattern.pattern, name) && (best == nullptr || weight(pattern) >= weight(*best))) best = &pattern;
    return best;
}

std::string revision_of(std::string_view text) {
    std::uint64_t hash = 14695981039346656037u;
    for (const char c : text)
        hash = (hash ^ static_cast<unsigned char>(c)) * 1099511628211u;
    return fmt::format("{:016x}", hash);
}

Result<Job> read_job(std::string_view text, const std::string& file, const FileReader& read) {
    try {
        const toml::table root = toml::parse(text, std::string_view(file));
        Job job = read_tables(root, file, read);
        job.revision = revision_of(text);
        return job;
    } catch (const toml::parse_error& error) {
        return Problem{file, static_cast<int>(error.source().begin.line), static_cast<int>(error.source().begin.column),
                       std::string(error.description()), "mend the TOML there"};
    } catch (const FieldFault& fault) {
        return fault.problem;
    }
}

Result<Job> load_job(const fs::path& path) {
    constexpr std::size_t kLargestJob = 4u << 20;
    const fs::path folder = path.parent_path();
    auto text = read_file(path, kLargestJob);
    if (!text) return text.problem();
    return read_job(text.value(), path.string(),
                    [&](const std::string& name) { return read_file(folder / name, kLargestJob); });
}

Result<drawing::Drawing> load_drawing(const Job& job) {
    const fs::path path = fs::path(job.file).parent_path() / job.drawing_file;
    auto text = read_file(path);
    if (!text) {
        Problem problem = text.problem();
        return Problem{job.file, job.drawing_line, 0, "[drawing]: " + problem.file + " " + problem.what,
                       problem.remedy};
    }
    return drawing::read_drawing(text.value(), path.string(), job.read);
}

} // namespace kerfwright::job
