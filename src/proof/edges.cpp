#include "edges.hpp"

#include "findings.hpp"

#include "base/parallel.hpp"
#include "plane/nearest.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace kerfwright::proof {

using plane::Ring;
using plane::Vec;

namespace {

constexpr double kSampleStep = 0.1;    ///< mm along an edge
constexpr double kRunGap = 2;          ///< mm of good edge that does not part two bad stretches
constexpr double kMostStretches = 4e6; ///< beyond it the radius may change by more
constexpr double kRadiusStep = 0.001;  ///< mm a radius may change along a stretch of path
constexpr double kGouged = 0.005;      ///< mm: deeper into the part than that, a cut at any height makes the edge
constexpr double kAlmostAsNear = 0.5;  ///< mm
constexpr double kMostMoved = 1;       ///< mm: an edge further off is not one that was cut as asked
constexpr double kTabRoom = 1;         ///< mm beyond a tab's width and the cutter's diameter where the edge may stand

/// How many stretches a piece needs so that its radius changes by no more than `step` along each.
int stretches_at_level(const Piece& piece, const CutterBody& body, const LevelQuery& query, double step) {
    if (body.flat()) return 1;
    const double change =
        std::abs(body.radius_at(query.at - piece.lowest()) - body.radius_at(query.at - piece.highest()));
    return static_cast<int>(std::min(256.0, change / step + 1));
}

void append_at_level(const Piece& piece, const CutterBody& body, const LevelQuery& query, double step,
                     std::vector<Piece>& pieces, std::vector<double>& radii) {
    const int parts = stretches_at_level(piece, body, query, step);
    for (int i = 0; i < parts; ++i) {
        const Piece part =
            parts == 1 ? piece : stretch(piece, static_cast<double>(i) / parts, static_cast<double>(i + 1) / parts);
        const double radius = body.radius_at(query.at - (query.widest ? part.lowest() : part.highest()));
        if (radius <= 0) continue;
        pieces.push_back(part);
        radii.push_back(radius);
    }
}

/// The finest step of the radius that keeps the number of stretches bounded.
double radius_step(const Sequence& sequence, const LevelQuery& query) {
    double count = 0;
    for (const Piece& piece : sequence.pieces)
        if (piece.lowest() < query.limit)
            count += stretches_at_level(piece, sequence.run(piece).body, query, kRadiusStep) - 1;
    return kRadiusStep * std::max(1.0, count / kMostStretches);
}

/// At least as many as path_at_level will find: a vector that grows holds up to three times what it needs.
std::size_t count_at_level(const Sequence& sequence, const LevelQuery& query, double step) {
    std::size_t count = 0;
    for (const Piece& piece : sequence.pieces) {
        if ((query.feeds_only && piece.rapid) || piece.lowest() > query.limit) continue;
        count += static_cast<std::size_t>(stretches_at_level(piece, sequence.run(piece).body, query, step));
    }
    return count;
}

} // namespace

PathTree path_at_level(const Sequence& sequence, const LevelQuery& query) {
    std::vector<Piece> pieces;
    std::vector<double> radii;
    const double step = radius_step(sequence, query);
    const std::size_t count = count_at_level(sequence, query, step);
    pieces.reserve(count);
    radii.reserve(count);
    for (const Piece& piece : sequence.pieces) {
        if (query.feeds_only && piece.rapid) continue;
        if (const auto part = below(piece, query.limit))
            append_at_level(*part, sequence.run(piece).body, query, step, pieces, radii);
    }
    return {std::move(pieces), std::move(radii)};
}

namespace {

/// One ring to be checked, with what is asked along it.
struct Edge {
    const Ring* ring = nullptr;
    std::string name;                ///< "the edge of oak-1"
    const AskedPart* part = nullptr; ///< nullptr: the pocket's wall
};

/// Trees of the path at full depth, one for each depth that is asked for.
struct DepthPaths {
    std::vector<double> levels;
    std::vector<PathTree> full; ///< feeds that reach the level
    std::vector<PathTree> deep; ///< moves that go below it by more than the tolerance

    [[nodiscard]] std::size_t index(double level) const {
        return static_cast<std::size_t>(std::lower_bound(levels.begin(), levels.end(), level) - levels.begin());
    }
};

DepthPaths depth_paths(const SetupToProve& setup, const Sequence& sequence) {
    DepthPaths paths;
    for (const AskedPart& part : setup.parts)
        paths.levels.push_back(setup.stock.bottom + part.skin);
    if (!setup.wall.empty())
        for (const AskedFloor& floor : setup.floors)
            paths.levels.push_back(setup.stock.top - floor.depth);
    std::sort(paths.levels.begin(), paths.levels.end());
    paths.levels.erase(std::unique(paths.levels.begin(), paths.levels.end()), paths.levels.end());
    for (const double level : paths.levels) {
        const double reach = level + setup.tolerances.left_standing;
        const double deep = level - setup.tolerances.floor;
        paths.full.push_back(path_at_level(sequence, {reach, reach, true, false}));
        paths.deep.push_back(path_at_level(sequence, {deep, deep, false, true}));
    }
    return paths;
}

/// What one sample of an edge shows.
struct Sample {
    Vec at;
    double into = 0;         ///< mm; negative where a cutter went into the part
    double standing = 0;     ///< mm of material left outside the edge; 0 where it may stand
    double skin_missing = 0; ///< mm
    Piece into_piece, standing_piece, skin_piece;
    double into_share = 0, standing_share = 0, skin_share = 0;
    double level = 0;
    bool has_standing = false;
};

class EdgeProver {
  public:
    EdgeProver(const SetupToProve& setup, const Sequence& sequence, const PathTree& cutting)
        : setup_(setup), sequence_(sequence), cutting_(cutting), depths_(depth_paths(setup, sequence)) {
        for (const AskedFloor& floor : setup.floors)
            floor_edges_.emplace_back(floor.area);
        for (const Run& run : sequence.runs)
            largest_radius_ = std::max(largest_radius_, run.body.radius());
    }

    struct Outcome {
        double deviation_min = 1e300, deviation_max = -1e300;
        Ring as_cut;
        std::vector<Finding> findings;
    };
    [[nodiscard]] Outcome prove(const Edge& edge) const {
        const std::vector<Vec> places = plane::sampled(*edge.ring, kSampleStep);
        std::vector<Sample> samples;
        samples.reserve(places.size());
        Outcome outcome;
        for (const Vec place : places) {
            samples.push_back(look(edge, place));
            outcome.deviation_min = std::min(outcome.deviation_min, samples.back().into);
            outcome.deviation_max = std::max(outcome.deviation_max, samples.back().standing);
            append_as_cut(samples.back(), outcome.as_cut);
        }
        report(edge, samples, outcome.findings);
        return outcome;
    }

  private:
    /// Where the cutter really leaves the edge: on the line from the nearest place of its axis through the sample.
    void append_as_cut(const Sample& sample, Ring& ring) const {
        const bool gouged = sample.into < -kGouged;
        Vec at = sample.at;
        if (gouged || sample.has_standing) {
            const Piece& piece = gouged ? sample.into_piece : sample.standing_piece;
            const motion::Vec3 axis = point_on(piece, gouged ? sample.into_share : sample.standing_share);
            const Vec out = sample.at - Vec{axis.x, axis.y};
            const double distance = plane::length(out);
            const double gap = gouged ? sample.into : sample.standing;
            if (distance > 1e-6 && std::abs(gap) < kMostMoved) at = sample.at - out * (gap / distance);
        }
        const plane::Point p = plane::to_grid(at);
        if (ring.empty() || ring.back() != p) ring.push_back(p);
    }

    [[nodiscard]] double level_at(const Edge& edge, Vec place) const {
        if (edge.part) return setup_.stock.bottom + edge.part->skin;
        double best = 1e300;
        double level = setup_.stock.top;
        for (std::size_t i = 0; i < floor_edges_.size(); ++i) {
            const auto near = floor_edges_[i].nearest(place, best + 0.01);
            if (!near) continue;
            const double z = setup_.stock.top - setup_.floors[i].depth;
            if (near->distance < best - 0.01 || z > level) // where two floors meet, the shallower one
                level = z;
            best = std::min(best, near->distance);
        }
        return level;
    }

    [[nodiscard]] bool may_stand(const Edge& edge, Vec place) const {
        if (!edge.part) return false;
        return std::any_of(edge.part->tabs.begin(), edge.part->tabs.end(), [&](const AskedTab& tab) {
            const double half = std::max(tab.width, tab.base) / 2;
            return plane::distance(place, {tab.x, tab.y}) <= half + 2 * largest_radius_ + kTabRoom;
        });
    }

    [[nodiscard]] Sample look(const Edge& edge, Vec place) const {
        Sample sample;
        sample.at = place;
        sample.level = level_at(edge, place);
        if (const auto near = cutting_.closest(place)) {
            sample.into = near->gap;
            sample.into_piece = cutting_.pieces()[near->piece];
            sample.into_share = near->share;
        }
        const std::size_t depth = depths_.index(sample.level);
        if (depth >= depths_.full.size()) return sample;
        if (!may_stand(edge, place)) {
            const PathTree& full = depths_.full[depth];
            const auto near = full.closest(place);
            sample.standing = near ? near->gap : setup_.stock.top - setup_.stock.bottom;
            sample.has_standing = near.has_value();
            sample.standing_piece = near ? full.pieces()[near->piece] : sample.into_piece;
            sample.standing_share = near ? near->share : sample.into_share;
        }
        if (edge.part && edge.part->skin > 0) {
            const PathTree& deep = depths_.deep[depth];
            if (const auto near = deep.closest(place, setup_.tolerances.edge)) {
                sample.skin_piece = deep.pieces()[near->piece];
                sample.skin_share = near->share;
                sample.skin_missing = sample.level - point_on(sample.skin_piece, near->share).z;
            }
        }
        return sample;
    }

    /// Calls f(worst sample, length) for every stretch of the ring where `badness` is above 0.
    template <class Badness, class F>
    static void stretches(const std::vector<Sample>& samples, Badness&& badness, F&& f) {
        const std::size_t count = samples.size();
        std::size_t first = 0; // start after a good one, so that a stretch is not cut in two
        while (first < count && badness(samples[first]) > 0)
            ++first;
        const Sample* worst = nullptr;
        double bad_length = 0, good_length = 0;
        const auto close = [&] {
            if (worst) f(*worst, bad_length);
            worst = nullptr;
            bad_length = 0;
        };
        for (std::size_t i = 0; i < count; ++i) {
            const Sample& sample = samples[(first + i) % count];
            const Sample& next = samples[(first + i + 1) % count];
            const double step = plane::distance(sample.at, next.at);
            if (badness(sample) > 0) {
                if (!worst || badness(sample) > badness(*worst)) worst = &sample;
                bad_length += good_length + step;
                good_length = 0;
            } else if (worst) {
                good_length += step;
                if (good_length > kRunGap) close();
            }
            if (!worst) good_length = 0;
        }
        close();
    }

    void report(const Edge& edge, const std::vector<Sample>& samples, std::vector<Finding>& findings) const {
        const Tolerances& tolerances = setup_.tolerances;
        const auto place = [&](Finding finding, const Sample& sample) {
            finding.at = {sample.at.x, sample.at.y, finding.at[2]};
            findings.push_back(std::move(finding));
        };
        stretches(
            samples, [&](const Sample& s) { return -s.into - tolerances.edge; },
            [&](const Sample& s, double length) {
                Finding finding = finding_at(sequence_, FindingKind::gouge, s.into_piece, s.into_share);
                finding.value = s.into;
                finding.bound = -tolerances.edge;
                finding.text = fmt::format("cuts {} mm into {}, over {} mm of it", mm(-s.into), edge.name, mm(length));
                place(std::move(finding), s);
            });
        stretches(
            samples, [&](const Sample& s) { return s.standing - tolerances.left_standing; },
            [&](const Sample& s, double length) { place(standing_finding(edge, s, length), s); });
        stretches(
            samples, [&](const Sample& s) { return s.skin_missing - tolerances.floor; },
            [&](const Sample& s, double length) {
                Finding finding = finding_at(sequence_, FindingKind::gouge, s.skin_piece, s.skin_share);
                finding.value = edge.part->skin - s.skin_missing;
                finding.bound = edge.part->skin - tolerances.floor;
                finding.text =
                    fmt::format("leaves a skin of {} mm at {} instead of {} mm, over {} mm of it",
                                mm(std::max(0.0, finding.value)), edge.name, mm(edge.part->skin), mm(length));
                place(std::move(finding), s);
            });
    }

    /// The move to name for material that was left: of those at full depth that come almost as near as the nearest, the
    /// last. A finishing pass that strays is told by its own line, not by the roughing that it was to correct.
    void name_last_near(const Sample& s, Finding& finding) const {
        const PathTree& full = depths_.full[depths_.index(s.level)];
        plane::Box box;
        extend(box, s.at);
        const double within = s.standing + kAlmostAsNear;
        full.visit(plane::grown(box, within), [&](std::size_t i) {
            const NearestOnPiece near = nearest(full.pieces()[i], s.at);
            if (near.distance - full.radius(i) > within) return;
            const Finding named = finding_at(sequence_, FindingKind::left_standing, full.pieces()[i], near.share);
            finding.program = named.program;
            finding.line = named.line;
        });
    }

    /// Where nothing reaches full depth: of the feeds beside the place the lowest, and of those the last.
    void name_lowest_near(const Sample& s, Finding& finding) const {
        plane::Box box;
        extend(box, s.at);
        double lowest = 1e300;
        cutting_.visit(plane::grown(box, kAlmostAsNear), [&](std::size_t i) {
            const Piece& piece = cutting_.pieces()[i];
            const NearestOnPiece near = nearest(piece, s.at);
            if (piece.rapid || near.distance - cutting_.radius(i) > std::max(s.into, 0.0) + kAlmostAsNear) return;
            const double z = point_on(piece, near.share).z;
            if (z > lowest + 1e-6) return;
            lowest = z;
            const Finding named = finding_at(sequence_, FindingKind::left_standing, piece, near.share);
            finding.program = named.program;
            finding.line = named.line;
        });
    }

    [[nodiscard]] Finding standing_finding(const Edge& edge, const Sample& s, double length) const {
        Finding finding;
        finding.kind = FindingKind::left_standing;
        if (!sequence_.pieces.empty() && (s.has_standing || !cutting_.empty()))
            finding = finding_at(sequence_, FindingKind::left_standing, s.standing_piece, s.standing_share);
        else if (!sequence_.runs.empty())
            finding.program = sequence_.runs.back().file;
        if (s.has_standing)
            name_last_near(s, finding);
        else
            name_lowest_near(s, finding);
        finding.at[2] = s.level;
        finding.value = s.standing;
        finding.bound = setup_.tolerances.left_standing;
        finding.text = s.has_standing
                           ? fmt::format("no move at full depth comes nearer than {} mm to {}, over {} mm of it",
                                         mm(s.standing), edge.name, mm(length))
                           : fmt::format("no move cuts {} to its full depth", edge.name);
        return finding;
    }

    const SetupToProve& setup_;
    const Sequence& sequence_;
    const PathTree& cutting_;
    DepthPaths depths_;
    std::vector<plane::EdgeIndex> floor_edges_;
    double largest_radius_ = 0;
};

} // namespace

EdgeProof prove_edges(const SetupToProve& setup, const Sequence& sequence, const PathTree& cutting, int threads) {
    const EdgeProver prover(setup, sequence, cutting);
    const std::vector<Ring> walls = plane::rings_of(setup.wall);
    std::vector<Edge> edges;
    for (const AskedPart& part : setup.parts) {
        edges.push_back({&part.outline.outer, fmt::format("the edge of {}", part.id), &part});
        for (const Ring& hole : part.outline.holes)
            edges.push_back({&hole, fmt::format("an opening of {}", part.id), &part});
    }
    for (const Ring& ring : walls)
        edges.push_back({&ring, "the pocket's wall", nullptr});
    std::vector<EdgeProver::Outcome> outcomes(edges.size());
    parallel_for(edges.size(), threads, [&](std::size_t i) { outcomes[i] = prover.prove(edges[i]); });

    EdgeProof proof;
    for (std::size_t i = 0; i < edges.size(); ++i) {
        proof.findings.insert(proof.findings.end(), outcomes[i].findings.begin(), outcomes[i].findings.end());
        const std::string id = edges[i].part ? edges[i].part->id : "wall";
        if (proof.parts.empty() || proof.parts.back().id != id)
            proof.parts.push_back({id, outcomes[i].deviation_min, outcomes[i].deviation_max, {}, {}});
        PartProof& part = proof.parts.back();
        part.deviation_min = std::min(part.deviation_min, outcomes[i].deviation_min);
        part.deviation_max = std::max(part.deviation_max, outcomes[i].deviation_max);
        part.as_cut.push_back(std::move(outcomes[i].as_cut));
    }
    return proof;
}

} // namespace kerfwright::proof
