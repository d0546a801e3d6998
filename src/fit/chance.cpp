#include "fit/chance.hpp"

#include "base/parallel.hpp"
#include "base/random.hpp"
#include "fit/slack_program.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <set>

namespace kerfwright::fit {
namespace {

using plane::Vec;

constexpr std::size_t kChunk = 64;     ///< draws solved one after another; fixed, so that threads do not change a bit
constexpr std::size_t kRechecked = 12; ///< draws measured on the true shapes, spread over all

/// One draw: how much each solid has grown all around, and its strain.
struct Draw {
    std::vector<double> grown_by;
    std::vector<Growth> growth;
};

/// Shared causes, numbered in the order of their names.
struct Causes {
    std::map<std::string, double> cutter_sd, scale_sd;
    std::set<std::string> swings;
};

Causes causes_of(const std::vector<const Errors*>& errors) {
    Causes causes;
    for (const Errors* e : errors) {
        double& cutter = causes.cutter_sd[e->cutter];
        cutter = std::max(cutter, e->cutter_radius_sd);
        double& scale = causes.scale_sd[e->setup];
        scale = std::max(scale, e->scale_sd);
        for (const Swing& swing : e->swings)
            causes.swings.insert(swing.cause);
    }
    return causes;
}

Draw draw(const std::vector<const Errors*>& errors, const Causes& causes, std::uint64_t seed, std::size_t sample) {
    Random random(Random(seed + 0x9e37 * (sample + 1)).next());
    std::map<std::string, double> cutter, scale, swings;
    for (const auto& [name, sd] : causes.cutter_sd)
        cutter[name] = sd * random.normal();
    for (const auto& [name, sd] : causes.scale_sd)
        scale[name] = sd * random.normal();
    for (const std::string& name : causes.swings)
        swings[name] = random.normal();
    Draw result;
    for (const Errors* e : errors) {
        // A larger cutter leaves every solid smaller, pieces and tray alike.
        result.grown_by.push_back(-cutter[e->cutter] + e->edge_sd * random.normal());
        const double s = scale[e->setup];
        Growth growth{e->growth.xx + s, e->growth.xy, e->growth.yy + s};
        for (const Swing& swing : e->swings) {
            const double z = swings[swing.cause];
            growth.xx += z * swing.growth.xx;
            growth.xy += z * swing.growth.xy;
            growth.yy += z * swing.growth.yy;
        }
        result.growth.push_back(growth);
    }
    return result;
}

double stretch(const Growth& growth, Vec arm, Vec normal) {
    return normal.x * (growth.xx * arm.x + growth.xy * arm.y) + normal.y * (growth.xy * arm.x + growth.yy * arm.y);
}

std::vector<double> gaps_in(const Draw& draw, const std::vector<Solid>& solids, const ContactSet& set) {
    std::vector<double> gaps;
    gaps.reserve(set.contacts.size());
    for (const ContactPair& c : set.contacts)
        gaps.push_back(c.gap - draw.grown_by[c.a] - draw.grown_by[c.b] +
                       stretch(draw.growth[c.a], c.p - solids[c.a].centre, c.normal) -
                       stretch(draw.growth[c.b], c.q - solids[c.b].centre, c.normal));
    return gaps;
}

double true_slack(const Draw& draw, const std::vector<Solid>& solids, const SlackFound& found, double reach) {
    std::vector<Lie> lies = found.lies;
    for (std::size_t i = 0; i < lies.size(); ++i)
        lies[i].growth = draw.growth[i];
    return smallest_gap(solids, lies, draw.grown_by, reach, 1);
}

/// Wilson's score interval for a share (Wilson 1927), 95 %.
void set_interval(Assembly& assembly) {
    constexpr double z = 1.959964;
    const double n = assembly.samples, p = assembly.chance;
    const double middle = (p + z * z / (2 * n)) / (1 + z * z / n);
    const double half = z / (1 + z * z / n) * std::sqrt(p * (1 - p) / n + z * z / (4 * n * n));
    assembly.chance_low = std::max(0.0, middle - half);
    assembly.chance_high = std::min(1.0, middle + half);
}

} // namespace

void add_chance(Assembly& assembly, const std::vector<AssemblyPiece>& pieces, const AssemblyWall& wall,
                const std::vector<Solid>& solids, const AssemblyOptions& options) {
    std::vector<const Errors*> errors;
    for (const AssemblyPiece& piece : pieces)
        errors.push_back(&piece.errors);
    if (solids.size() > pieces.size()) errors.push_back(&wall.errors);
    const Causes causes = causes_of(errors);
    const std::vector<Lie> lies(solids.size());
    const ContactSet set = contacts_of(solids, lies, options.spacing, options.reach, options.threads);
    const auto count = static_cast<std::size_t>(options.samples);
    std::vector<double> slack(count, options.reach), off(count, 0);
    const std::size_t every = (count + kRechecked - 1) / kRechecked;
    const SlackProgram::Bounds bounds{options.most_shift, options.most_turn_deg * std::numbers::pi / 180};
    parallel_for((count + kChunk - 1) / kChunk, options.threads, [&](std::size_t chunk) {
        if (set.contacts.empty()) return;
        SlackProgram program(solids, lies, set, bounds);
        for (std::size_t k = chunk * kChunk; k < std::min(count, (chunk + 1) * kChunk); ++k) {
            const Draw drawn = draw(errors, causes, options.seed, k);
            const SlackFound found = program.solve(gaps_in(drawn, solids, set));
            slack[k] = found.solved ? found.slack : -1e9; // an unsolved draw never counts as going together
            if (found.solved && k % every == 0)
                off[k] = std::abs(true_slack(drawn, solids, found, options.reach) - found.slack);
        }
    });
    assembly.samples = options.samples;
    assembly.seed = options.seed;
    const auto good = std::count_if(slack.begin(), slack.end(), [&](double s) { return s >= options.needed; });
    assembly.chance = static_cast<double>(good) / static_cast<double>(count);
    set_interval(assembly);
    std::sort(slack.begin(), slack.end());
    const auto share = [&](double p) {
        return slack[static_cast<std::size_t>(std::llround(p * static_cast<double>(count - 1)))];
    };
    assembly.slack_p5 = share(0.05);
    assembly.slack_p50 = share(0.50);
    assembly.slack_p95 = share(0.95);
    assembly.accuracy = *std::max_element(off.begin(), off.end());
}

} // namespace kerfwright::fit
