// make_partition on random rings: a clean partition, or a problem. Bytes become points of a coarse lattice, so that
// shared corners, edges on edges, crossings and slivers within snap come up all the time.

#include "drawing/drawing.hpp"
#include "plane/boolean.hpp"

#include <cstdint>
#include <cstdlib>
#include <set>
#include <string>
#include <utility>

namespace {

using namespace kerfwright;

/// Takes bytes from the front; zeros when there are no more.
class Bytes {
  public:
    Bytes(const std::uint8_t* data, std::size_t size) : data_(data), size_(size) {}
    unsigned next() { return at_ < size_ ? data_[at_++] : 0; }
    [[nodiscard]] bool empty() const { return at_ >= size_; }

  private:
    const std::uint8_t* data_;
    std::size_t size_;
    std::size_t at_ = 0;
};

drawing::Sketch sketch_from(Bytes& bytes, std::int64_t step) {
    drawing::Sketch sketch;
    while (!bytes.empty() && sketch.outlines.size() < 12) {
        const unsigned head = bytes.next();
        if (head % 4 != 0 || sketch.outlines.empty()) {
            drawing::Outline outline;
            if (head % 8 != 1) outline.id = std::string("r") + std::to_string(sketch.outlines.size());
            outline.layer = std::to_string(head / 16 % 4);
            outline.even_odd = (head & 8U) != 0;
            sketch.outlines.push_back(std::move(outline));
        }
        plane::Ring ring;
        const unsigned count = bytes.next() % 24;
        for (unsigned i = 0; i < count; ++i) {
            // Sixteen steps each way; now and then a little off.
            const unsigned place = bytes.next();
            plane::Point p{static_cast<std::int64_t>(place % 16) * step, static_cast<std::int64_t>(place / 16) * step};
            if (place % 5 == 0) p.x += static_cast<std::int64_t>(bytes.next()) * 20 - 2560;
            if (place % 7 == 0) p.y += static_cast<std::int64_t>(bytes.next()) - 128;
            ring.push_back(p);
        }
        sketch.outlines.back().rings.push_back(std::move(ring));
    }
    return sketch;
}

void check(const drawing::Drawing& drawing) {
    if (drawing.regions.empty()) std::abort();
    std::set<std::pair<plane::Point, plane::Point>> edges;
    double borders = 0;
    for (const drawing::Region& region : drawing.regions) {
        if (region.shape.empty() || region.name.empty()) std::abort();
        for (const plane::Polygon& part : region.shape) {
            if (plane::signed_area(part.outer) <= 0) std::abort();
            for (const plane::Ring& ring : plane::rings_of(part))
                for (std::size_t i = 0; i < ring.size(); ++i) {
                    if (ring[i].x < 0 || ring[i].y < 0) std::abort();
                    if (!edges.emplace(ring[i], ring[(i + 1) % ring.size()]).second) std::abort();
                }
            borders += plane::perimeter(part);
        }
    }
    for (std::size_t i = 0; i < drawing.regions.size(); ++i)
        for (std::size_t j = 0; j < i; ++j)
            if (plane::area(plane::intersect(drawing.regions[i].shape, drawing.regions[j].shape)) > 1e-6) std::abort();
    double seams = 0;
    for (const drawing::Seam& seam : drawing.seams) {
        if (seam.a < 0 || (seam.b != drawing::kOutside && seam.b <= seam.a)) std::abort();
        seams += seam.length * (seam.b == drawing::kOutside ? 1 : 2);
    }
    if (std::abs(seams - borders) > 1e-6 * (1 + borders)) std::abort();
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size > 2'000) return 0;
    Bytes bytes(data, size);
    const unsigned head = bytes.next();
    const std::int64_t steps[] = {1, 3, 1'000, 4'000, 100'000, 10'000'000};
    drawing::ReadOptions options;
    options.snap = head % 5 == 0 ? 0 : 0.05;
    if (head % 7 == 0) options.region = "layer";
    drawing::Sketch sketch = sketch_from(bytes, steps[head / 40 % 6]);
    const auto made = drawing::make_partition(std::move(sketch), "fuzz", options);
    if (made)
        check(made.value());
    else if (made.problem().what.empty() || made.problem().remedy.empty())
        std::abort();
    return 0;
}
