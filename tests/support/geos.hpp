#pragma once
// GEOS as an independent judge of plane geometry in tests (LGPL: tests only, see docs/dependencies.md).

#ifdef KERFWRIGHT_HAS_GEOS

#include "plane/shape.hpp"

#include <geos_c.h>

#include <cstdarg>
#include <memory>
#include <stdexcept>

namespace kerfwright::oracle {

class Geos {
  public:
    using Geometry = std::unique_ptr<GEOSGeometry, void (*)(GEOSGeometry*)>;

    Geos() { initGEOS(quiet, quiet); }

    [[nodiscard]] Geometry polygon(const plane::Polygon& polygon) const {
        std::vector<GEOSGeometry*> holes;
        for (const plane::Ring& hole : polygon.holes)
            holes.push_back(ring(hole));
        return own(GEOSGeom_createPolygon(ring(polygon.outer), holes.data(), static_cast<unsigned>(holes.size())));
    }
    [[nodiscard]] Geometry shape(const plane::Shape& shape) const {
        std::vector<GEOSGeometry*> parts;
        for (const plane::Polygon& part : shape)
            parts.push_back(polygon(part).release());
        return own(GEOSGeom_createCollection(GEOS_MULTIPOLYGON, parts.data(), static_cast<unsigned>(parts.size())));
    }
    [[nodiscard]] double area(const Geometry& g) const {
        double value = 0;
        GEOSArea(g.get(), &value);
        return value;
    }
    [[nodiscard]] double overlap_area(const Geometry& a, const Geometry& b) const {
        return area(own(GEOSIntersection(a.get(), b.get())));
    }
    [[nodiscard]] double difference_area(const Geometry& a, const Geometry& b) const {
        return area(own(GEOSDifference(a.get(), b.get())));
    }
    [[nodiscard]] double distance(const Geometry& a, const Geometry& b) const {
        double value = 0;
        GEOSDistance(a.get(), b.get(), &value);
        return value;
    }
    [[nodiscard]] Geometry buffer(const Geometry& g, double by, int quadrant_segments = 64) const {
        return own(GEOSBuffer(g.get(), by, quadrant_segments));
    }
    /// Area of all faces between lines, noded first.
    [[nodiscard]] double area_of_faces(const std::vector<plane::Ring>& lines) const {
        std::vector<GEOSGeometry*> parts;
        for (const plane::Ring& line : lines)
            parts.push_back(ring(line));
        const Geometry all =
            own(GEOSGeom_createCollection(GEOS_GEOMETRYCOLLECTION, parts.data(), static_cast<unsigned>(parts.size())));
        const Geometry noded = own(GEOSUnaryUnion(all.get()));
        const GEOSGeometry* const one = noded.get();
        return area(own(GEOSPolygonize(&one, 1)));
    }
    [[nodiscard]] bool valid(const Geometry& g) const { return GEOSisValid(g.get()) == 1; }

  private:
    static void quiet(const char*, ...) {}
    static Geometry own(GEOSGeometry* g) {
        if (g == nullptr) throw std::runtime_error("GEOS could not do it");
        return {g, GEOSGeom_destroy};
    }
    static GEOSGeometry* ring(const plane::Ring& ring) {
        GEOSCoordSequence* sequence = GEOSCoordSeq_create(static_cast<unsigned>(ring.size() + 1), 2);
        for (std::size_t i = 0; i <= ring.size(); ++i) {
            const plane::Vec v = plane::to_mm(ring[i % ring.size()]);
            GEOSCoordSeq_setXY(sequence, static_cast<unsigned>(i), v.x, v.y);
        }
        return GEOSGeom_createLinearRing(sequence);
    }
};

} // namespace kerfwright::oracle

#endif
