#include "fit/assembly.hpp"

#include "fit/bodies.hpp"
#include "fit/chance.hpp"
#include "fit/slack_program.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::fit {
namespace {

constexpr double kClose = 0.1;  ///< mm; a longer move is looked at again from where it ends
constexpr int kMostRounds = 4;  ///< of linearising anew
constexpr double kGoes = -1e-4; ///< mm; less interference than the grid and the solver resolve

std::optional<Problem> check(const std::vector<AssemblyPiece>& pieces, const AssemblyOptions& options) {
    if (pieces.empty()) return Problem{"", 0, 0, "there is no piece to assemble", "fit at least one region"};
    for (const AssemblyPiece& piece : pieces)
        if (piece.as_cut.outer.size() < 3)
            return Problem{"", 0, 0, "piece '" + piece.id + "' has no outline", "fit it first"};
    for (const double v : {options.spacing, options.reach, options.most_shift, options.most_turn_deg})
        if (!std::isfinite(v) || v <= 0)
            return Problem{"", 0, 0, "options of the assembly must be positive", "give lengths above zero"};
    if (options.samples < 0 || options.samples > 10'000'000)
        return Problem{"", 0, 0, "the number of samples must be 0 to 10,000,000", "ask for fewer"};
    return std::nullopt;
}

void add(Lie& lie, const Lie& more) {
    lie.shift = lie.shift + more.shift;
    lie.turn += more.turn;
}

double largest_move(const std::vector<Solid>& solids, const std::vector<Lie>& lies) {
    double most = 0;
    for (std::size_t i = 0; i < solids.size(); ++i) {
        const double radius = 0.5 * std::hypot(solids[i].box.width(), solids[i].box.height());
        if (!solids[i].is_wall) most = std::max(most, plane::length(lies[i].shift) + std::abs(lies[i].turn) * radius);
    }
    return most;
}

std::vector<TightSeam> tight_seams(const std::vector<AssemblyPiece>& pieces, const ContactSet& set,
                                   const std::vector<double>& force) {
    std::vector<TightSeam> tight;
    const auto name = [&](std::size_t i) { return i < pieces.size() ? pieces[i].id : std::string(kTrayName); };
    for (std::size_t s = 0; s < set.seams.size(); ++s)
        if (force[s] > 1e-4) tight.push_back({name(set.seams[s].first), name(set.seams[s].second), force[s]});
    std::stable_sort(tight.begin(), tight.end(),
                     [](const TightSeam& a, const TightSeam& b) { return a.share > b.share; });
    return tight;
}

} // namespace

Growth growth_of_grain(double along, double across, double degrees) {
    const double c = std::cos(degrees * std::numbers::pi / 180), s = std::sin(degrees * std::numbers::pi / 180);
    return {along * c * c + across * s * s, (along - across) * s * c, along * s * s + across * c * c};
}

Result<Assembly> assemble(const std::vector<AssemblyPiece>& pieces, const AssemblyWall& wall,
                          const AssemblyOptions& options) {
    if (auto fault = check(pieces, options)) return *fault;
    const std::vector<Solid> solids = solids_of(pieces, wall);
    const std::vector<double> as_cut(solids.size(), 0);
    std::vector<Lie> lies(solids.size());
    std::vector<Lie> best = lies;
    Assembly assembly;
    assembly.slack = smallest_gap(solids, lies, as_cut, options.reach, options.threads);
    assembly.linear_slack = assembly.slack;
    SlackProgram::Bounds bounds{options.most_shift, options.most_turn_deg * std::numbers::pi / 180};
    for (int round = 0; round < kMostRounds; ++round) {
        const ContactSet set = contacts_of(solids, lies, options.spacing, options.reach, options.threads);
        if (set.contacts.empty()) break; // nothing near anything
        const SlackFound found = SlackProgram(solids, lies, set, bounds).solve([&] {
            std::vector<double> gaps;
            for (const ContactPair& contact : set.contacts)
                gaps.push_back(contact.gap);
            return gaps;
        }());
        if (!found.solved) break;
        if (round == 0) assembly.tight = tight_seams(pieces, set, found.force);
        for (std::size_t i = 0; i < lies.size(); ++i)
            add(lies[i], found.lies[i]);
        const double slack = smallest_gap(solids, lies, as_cut, options.reach, options.threads);
        if (slack > assembly.slack) {
            assembly.slack = slack;
            best = lies;
            assembly.tight = tight_seams(pieces, set, found.force);
        }
        if (round == 0 || slack >= assembly.slack) assembly.linear_slack = found.slack;
        if (largest_move(solids, found.lies) < kClose) break;
        // Linear only near where it was taken: a tighter bound each time.
        bounds = {0.15 / (1 << round), std::min(bounds.turn, 0.15 / (1 << round) / 50)};
    }
    assembly.goes_together = assembly.slack >= kGoes;
    for (std::size_t i = 0; i < pieces.size(); ++i)
        assembly.poses.push_back({best[i].shift.x, best[i].shift.y, best[i].turn * 180 / std::numbers::pi});
    if (options.samples > 0) add_chance(assembly, pieces, wall, solids, options);
    return assembly;
}

} // namespace kerfwright::fit
