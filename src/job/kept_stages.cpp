#include "job/kept_stages.hpp"

#include "job/floors.hpp"
#include "job/json_values.hpp"

#include <algorithm>

namespace kerfwright::job {
namespace {

/// Text of an input, item by item. Numbers are written exactly, so that equal texts mean equal values.
class InputText {
  public:
    InputText& operator<<(const std::string& text) {
        text_ += text;
        text_ += '\0';
        return *this;
    }
    InputText& operator<<(double value) { return bytes(&value, sizeof value); }
    InputText& operator<<(const plane::Ring& ring) {
        *this << static_cast<double>(ring.size());
        return bytes(ring.data(), ring.size() * sizeof ring[0]);
    }
    InputText& operator<<(const plane::Polygon& polygon) {
        *this << polygon.outer << static_cast<double>(polygon.holes.size());
        for (const plane::Ring& hole : polygon.holes)
            *this << hole;
        return *this;
    }
    InputText& operator<<(const plane::Shape& shape) {
        *this << static_cast<double>(shape.size());
        for (const plane::Polygon& polygon : shape)
            *this << polygon;
        return *this;
    }
    InputText& operator<<(const plane::Placement& placement) {
        return *this << placement.x << placement.y << placement.angle_deg;
    }
    [[nodiscard]] std::string take() { return std::move(text_); }

  private:
    InputText& bytes(const void* data, std::size_t size) {
        text_.append(static_cast<const char*>(data), size);
        return *this;
    }
    std::string text_;
};

/// The machine, the cutters and what other files of the job say.
void add_shop(InputText& text, const Job& job) {
    text << job.named_files << json_of(job.machine).dump();
    for (const shop::Cutter& cutter : job.cutters)
        text << cutter.name << cutter.DC;
    for (const auto& [material, cutter] : job.cutter_for)
        text << material << cutter;
}

void add_tray_wish(InputText& text, const Job& job) {
    text << (job.tray ? job.tray->sheet : std::string("no tray"));
    if (job.tray)
        text << job.tray->border << job.tray->proud.value_or(0) << (job.tray->proud ? 1.0 : 0.0)
             << static_cast<double>(job.tray->line);
}

void add_sheet(InputText& text, const shop::Sheet& sheet) {
    text << json_of(sheet).dump() << static_cast<double>(sheet.line) << sheet.price;
}

void add_piece(InputText& text, const PlannedPiece& piece) {
    text << piece.id << piece.region << piece.material << piece.cutter << piece.thickness << piece.sheet
         << piece.outline << piece.as_cut;
}

} // namespace

Problem stopped() {
    return {"", 0, 0, "planning was stopped", "start it again"};
}

std::string fit_input(const Job& job, const drawing::Drawing& drawing) {
    InputText text;
    add_shop(text, job);
    add_tray_wish(text, job);
    text << job.clearance << job.tray_clearance << job.detail;
    for (const PiecePattern& pattern : job.pieces)
        text << pattern.pattern << pattern.material << static_cast<double>(pattern.line);
    for (const shop::Sheet& sheet : job.sheets)
        add_sheet(text, sheet);
    for (const drawing::Region& region : drawing.regions)
        text << region.name << region.shape;
    return text.take();
}

std::string layout_input(const Job& job, const std::vector<PlannedPiece>& pieces) {
    InputText text;
    add_shop(text, job);
    add_tray_wish(text, job);
    for (const shop::Sheet& sheet : job.sheets)
        add_sheet(text, sheet);
    for (const PlannedPiece& piece : pieces)
        add_piece(text, piece);
    for (const PlacedWish& wish : job.placed)
        text << wish.piece << wish.sheet << wish.placement << static_cast<double>(wish.line);
    return text.take();
}

std::string setup_input(const Job& job, const shop::Sheet& sheet, const std::vector<PlannedPiece*>& pieces,
                        const std::vector<PlannedSeam>& seams) {
    InputText text;
    text << job.title; // it stands in the programs
    add_shop(text, job);
    add_sheet(text, sheet);
    for (const PlannedPiece* piece : pieces) {
        add_piece(text, *piece);
        text << piece->placement;
    }
    for (const PlannedSeam& seam : seams) {
        const auto is = [&](const PlannedPiece* piece) { return piece->id == seam.a || piece->id == seam.b; };
        if (std::none_of(pieces.begin(), pieces.end(), is)) continue;
        text << seam.a << seam.b << seam.length << seam.asked << seam.gap_min << seam.gap_mean << seam.gap_max;
        for (const PlannedSpot& spot : seam.spots)
            text << spot.why << spot.box.low.x << spot.box.low.y << spot.box.high.x << spot.box.high.y;
    }
    return text.take();
}

std::string tray_input(const Job& job, const FitStage& fit, const std::vector<PlannedPiece>& pieces) {
    InputText text;
    text << job.title;
    add_shop(text, job);
    add_tray_wish(text, job);
    for (const shop::Sheet& sheet : job.sheets)
        add_sheet(text, sheet);
    text << fit.wall << fit.wall_as_cut << job.clearance << job.tray_clearance << job.detail;
    for (const PlannedPiece& piece : pieces) { // wherever they lie: the tray asks for their thickness alone
        add_piece(text, piece);
        text << thickness_under(job, piece);
    }
    return text.take();
}

std::string assembly_input(const Job& job, const Plan& plan) {
    InputText text;
    text << job.named_files << job.clearance << job.tray_clearance << job.climate.coating;
    for (const fit::ClimateRange& range : {job.climate.shop, job.climate.customer})
        for (const fit::Climate& climate : {range.low, range.high})
            text << climate.humidity << climate.temperature;
    for (const shop::Sheet& sheet : job.sheets)
        add_sheet(text, sheet);
    for (const PlannedPiece& piece : plan.pieces) {
        add_piece(text, piece);
        const shop::Material* material = find_material(job.library, piece.material);
        if (material == nullptr || material->grain || material->movement_along.value != material->movement_across.value)
            text << piece.placement.angle_deg; // the grain's direction in the set
    }
    text << plan.tray.wall_as_cut << plan.tray.setup << plan.tray.placement.angle_deg;
    for (const PlannedSetup& setup : plan.setups)
        for (const PlannedProgram& program : setup.programs)
            text << setup.name << program.cutter;
    return text.take();
}

std::string proof_input(const Plan& plan, const PlannedSetup& setup) {
    Plan part;
    part.title = plan.title;
    part.machine = plan.machine;
    part.cutters = plan.cutters;
    part.setups = {setup};
    part.has_tray = plan.has_tray && plan.tray.setup == setup.name;
    if (part.has_tray) part.tray = plan.tray;
    for (const PlannedPiece& piece : plan.pieces)
        if (piece.setup == setup.name) part.pieces.push_back(piece);
    for (const shop::Material& material : plan.materials)
        if (material.name == setup.sheet.material) part.materials.push_back(material);
    for (const cutting::FeedPlan& feed : plan.feeds)
        if (feed.material == setup.sheet.material) part.feeds.push_back(feed);
    InputText text;
    text << to_json(part);
    for (const PlannedProgram& program : setup.programs)
        text << program.text;
    return text.take();
}

} // namespace kerfwright::job
