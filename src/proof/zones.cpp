#include "zones.hpp"

#include "edges.hpp"
#include "findings.hpp"

#include "plane/boolean.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace kerfwright::proof {

using plane::Shape;

std::vector<Zone> zones_of(const SetupToProve& setup) {
    const double top = setup.stock.top;
    const double tolerance = setup.tolerances.floor;
    std::vector<Zone> zones;
    for (const AskedPart& part : setup.parts) {
        Zone zone{fmt::format("the inside of {}", part.id), {part.outline}, top, top - tolerance, 1e4, true};
        if (!setup.wall.empty()) zone.area = plane::subtract(zone.area, setup.wall);
        zones.push_back(std::move(zone));
    }
    if (setup.parts.empty() && !setup.wall.empty())
        zones.push_back({"the stock outside the pocket", plane::subtract({setup.stock.outline}, setup.wall), top,
                         top - tolerance, 1e4, true});
    for (const AskedFloor& floor : setup.floors) {
        const double z = top - floor.depth;
        zones.push_back({floor.id.empty() ? "the floor" : fmt::format("the floor of {}", floor.id), floor.area, z,
                         z - tolerance, z + setup.tolerances.left_standing, false});
    }
    return zones;
}

std::optional<Finding> lowest_over(const Sequence& sequence, const PathTree& cutting, plane::Vec at) {
    std::optional<Finding> finding;
    double lowest = 1e300;
    std::size_t from = 0;
    while (const auto piece = cutting.first_over(at, 1e-6, from)) {
        const Piece& p = cutting.pieces()[*piece];
        const auto height = swept_height(p, sequence.run(p).body, at);
        if (height && *height < lowest - 1e-4) {
            lowest = *height;
            finding = finding_at(sequence, FindingKind::gouge, p, nearest(p, at).share);
            finding->at = {at.x, at.y, lowest};
        }
        from = *piece + 1;
    }
    return finding;
}

namespace {

/// Named by the move that made the surface there: too deep or not deep enough; where none came, by the nearest.
Finding finding_for(const Sequence& sequence, const PathTree& cutting, const ZoneSpot& spot) {
    Finding finding;
    if (const auto lowest = lowest_over(sequence, cutting, spot.at))
        finding = *lowest;
    else if (const auto near = cutting.closest(spot.at))
        finding = finding_at(sequence, FindingKind::gouge, cutting.pieces()[near->piece], near->share);
    else if (!sequence.runs.empty())
        finding.program = sequence.runs.back().file;
    finding.kind = spot.low ? FindingKind::gouge : FindingKind::left_standing;
    return finding;
}

/// Joins spots of one zone and one sense that lie within two tiles of each other; the worst one stands for all.
std::vector<ZoneSpot> clustered(const std::vector<ZoneSpot>& spots, double reach) {
    std::vector<ZoneSpot> worst;
    std::vector<std::vector<plane::Vec>> places;
    for (const ZoneSpot& spot : spots) {
        std::size_t i = 0;
        for (; i < worst.size(); ++i)
            if (worst[i].zone == spot.zone && worst[i].low == spot.low &&
                std::any_of(places[i].rbegin(), places[i].rend(),
                            [&](plane::Vec at) { return plane::distance(at, spot.at) <= reach; }))
                break;
        if (i == worst.size()) {
            worst.push_back(spot);
            places.push_back({spot.at});
            continue;
        }
        places[i].push_back(spot.at);
        const int cells = worst[i].cells + spot.cells;
        if (spot.low ? spot.z < worst[i].z : spot.z > worst[i].z) worst[i] = spot;
        worst[i].cells = cells;
    }
    return worst;
}

} // namespace

std::vector<Finding> zone_findings(const SetupToProve& setup, const Sequence& sequence, const std::vector<Zone>& zones,
                                   const Removal& removal, const PathTree& cutting) {
    std::vector<Finding> findings;
    for (const ZoneSpot& spot : clustered(removal.spots, 2 * kTile * removal.cell)) {
        const Zone& zone = zones[spot.zone];
        Finding finding = finding_for(sequence, cutting, spot);
        const double area = spot.cells * removal.cell * removal.cell;
        finding.at = {spot.at.x, spot.at.y, spot.z};
        finding.value = spot.z - zone.asked;
        finding.bound = spot.low ? -setup.tolerances.floor : setup.tolerances.left_standing;
        finding.text =
            spot.low ? fmt::format("cuts {} mm too deep into {}, over {} mm2", mm(-finding.value), zone.id, mm(area))
                     : fmt::format("{} mm stand too high on {}, over {} mm2", mm(finding.value), zone.id, mm(area));
        findings.push_back(std::move(finding));
    }
    return findings;
}

} // namespace kerfwright::proof
