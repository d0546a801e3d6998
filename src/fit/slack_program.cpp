#include "fit/slack_program.hpp"

#include <ClpSimplex.hpp>
#include <CoinError.hpp>

#include <algorithm>
#include <cmath>

namespace kerfwright::fit {
namespace {

using plane::Vec;

constexpr double kPrice = 1e-3;
constexpr double kTurnUnit = 0.01; ///< radians; so that columns of turns are like those of shifts
constexpr double kEnough = 1e-3;   ///< mm; contacts violated by less are left out
constexpr int kMostRounds = 200;
/// Of so many contacts along a seam the worst enters in each round. Few are quicker for short seams; a long straight
/// seam has its worst places far apart, and would need dozens of rounds with one at a time.
constexpr std::size_t kStretch = 128;
constexpr int kIdleSolves = 12; ///< a contact that carried no force for so long is dropped

/// Coefficients of one contact: three for each of its two solids; the wall has none.
struct Row {
    int count = 0;
    int row[6];
    double value[6];
};

} // namespace

struct SlackProgram::State {
    std::vector<Row> rows;            ///< of each contact
    std::vector<std::size_t> seam;    ///< of each contact
    std::vector<std::size_t> stretch; ///< of each contact: part of its seam
    std::size_t seams = 0, stretches = 0;
    std::size_t pieces = 0, solids = 0;
    ClpSimplex model;
    int fixed_columns = 0;            ///< those of the bounds
    std::vector<std::size_t> in_pool; ///< contact of each further column
    std::vector<int> idle;            ///< solves since it carried force
    std::vector<char> pooled;         ///< for each contact

    void add(std::size_t contact, double gap) {
        const Row& row = rows[contact];
        int index[7];
        double value[7];
        std::copy(row.row, row.row + row.count, index);
        std::copy(row.value, row.value + row.count, value);
        index[row.count] = static_cast<int>(3 * pieces);
        value[row.count] = 1;
        model.addColumn(row.count + 1, index, value, 0, COIN_DBL_MAX, gap);
        in_pool.push_back(contact);
        idle.push_back(0);
        pooled[contact] = 1;
    }

    [[nodiscard]] double along(const Row& row, const std::vector<double>& motion) const {
        double sum = 0;
        for (int k = 0; k < row.count; ++k)
            sum += row.value[k] * motion[static_cast<std::size_t>(row.row[k])];
        return sum;
    }

    void drop_idle() {
        std::vector<int> columns;
        std::size_t kept = 0;
        const double* force = model.getColSolution();
        for (std::size_t c = 0; c < in_pool.size(); ++c) {
            const int column = fixed_columns + static_cast<int>(c);
            idle[c] = force[column] > 1e-9 ? 0 : idle[c] + 1;
            if (idle[c] > kIdleSolves && model.getColumnStatus(column) != ClpSimplex::basic) {
                columns.push_back(column);
                pooled[in_pool[c]] = 0;
                continue;
            }
            in_pool[kept] = in_pool[c];
            idle[kept++] = idle[c];
        }
        in_pool.resize(kept);
        idle.resize(kept);
        if (!columns.empty()) model.deleteColumns(static_cast<int>(columns.size()), columns.data());
    }
};

SlackProgram::SlackProgram(const std::vector<Solid>& solids, const std::vector<Lie>& lies, const ContactSet& set,
                           Bounds bounds)
    : state_(std::make_unique<State>()) {
    State& s = *state_;
    s.solids = solids.size();
    s.pieces = solids.size() - (solids.back().is_wall ? 1 : 0);
    s.seams = set.seams.size();
    const auto add_side = [&](Row& row, std::size_t solid, Vec at, Vec normal, double sign) {
        if (solids[solid].is_wall) return;
        const Vec arm = at - solids[solid].centre - lies[solid].shift;
        const int base = static_cast<int>(3 * solid);
        const double values[3] = {normal.x, normal.y, plane::cross(arm, normal) * kTurnUnit};
        for (int k = 0; k < 3; ++k) {
            row.row[row.count] = base + k;
            row.value[row.count++] = sign * values[k];
        }
    };
    for (const ContactPair& contact : set.contacts) {
        Row row;
        add_side(row, contact.a, contact.p, contact.normal, 1);
        add_side(row, contact.b, contact.q, contact.normal, -1);
        s.rows.push_back(row);
        s.seam.push_back(contact.seam);
    }
    for (std::size_t seam = 0; seam < s.seams; ++seam)
        for (std::size_t k = set.first[seam]; k < set.first[seam + 1]; ++k) {
            if ((k - set.first[seam]) % kStretch == 0) ++s.stretches;
            s.stretch.push_back(s.stretches - 1);
        }
    s.pooled.assign(s.rows.size(), 0);
    const int equilibrium = static_cast<int>(3 * s.pieces);
    s.model.setLogLevel(0);
    s.model.resize(equilibrium + 1, 0);
    for (int r = 0; r < equilibrium; ++r)
        s.model.setRowBounds(r, -kPrice, kPrice);
    s.model.setRowBounds(equilibrium, 1, 1);
    for (int r = 0; r < equilibrium; ++r)
        for (const double sign : {1.0, -1.0}) {
            const double bound = r % 3 == 2 ? bounds.turn / kTurnUnit : bounds.shift;
            s.model.addColumn(1, &r, &sign, 0, COIN_DBL_MAX, bound);
        }
    s.fixed_columns = 2 * equilibrium;
    for (std::size_t seam = 0; seam < s.seams; ++seam) {
        const std::size_t first = set.first[seam], last = set.first[seam + 1] - 1;
        for (const std::size_t k : {first, (first + last) / 2, last})
            if (s.pooled[k] == 0) s.add(k, set.contacts[k].gap);
    }
}

SlackProgram::~SlackProgram() = default;

SlackFound SlackProgram::solve(const std::vector<double>& gaps) {
    State& s = *state_;
    SlackFound found;
    std::vector<double> motion(3 * s.pieces, 0);
    std::vector<double> worst(s.stretches);
    std::vector<std::size_t> worst_at(s.stretches);
    try {
        for (std::size_t c = 0; c < s.in_pool.size(); ++c)
            s.model.setObjectiveCoefficient(s.fixed_columns + static_cast<int>(c), gaps[s.in_pool[c]]);
        for (int round = 0; round < kMostRounds; ++round) {
            s.model.primal(round == 0 ? 0 : 1);
            if (s.model.status() != 0) return found;
            // Reduced costs gap - a . price - t >= 0 are the primal's constraints: the motion is minus the row price.
            const double* price = s.model.getRowPrice();
            for (std::size_t r = 0; r < motion.size(); ++r)
                motion[r] = -price[r];
            const double level = price[motion.size()];
            std::fill(worst.begin(), worst.end(), level - kEnough);
            std::fill(worst_at.begin(), worst_at.end(), s.rows.size());
            found.slack = 1e300;
            for (std::size_t k = 0; k < s.rows.size(); ++k) {
                const double gap = gaps[k] + s.along(s.rows[k], motion);
                found.slack = std::min(found.slack, gap);
                if (gap < worst[s.stretch[k]] && s.pooled[k] == 0) {
                    worst[s.stretch[k]] = gap;
                    worst_at[s.stretch[k]] = k;
                }
            }
            bool added = false;
            for (const std::size_t k : worst_at)
                if (k != s.rows.size()) {
                    s.add(k, gaps[k]);
                    added = true;
                }
            if (!added) break;
        }
        found.force.assign(s.seams, 0);
        const double* force = s.model.getColSolution();
        for (std::size_t c = 0; c < s.in_pool.size(); ++c)
            found.force[s.seam[s.in_pool[c]]] += std::max(0.0, force[s.fixed_columns + static_cast<int>(c)]);
        s.drop_idle();
    } catch (const CoinError&) {
        return found;
    }
    found.lies.assign(s.solids, {});
    for (std::size_t i = 0; i < s.pieces; ++i)
        found.lies[i] = {{motion[3 * i], motion[3 * i + 1]}, motion[3 * i + 2] * kTurnUnit, {}};
    found.solved = true;
    return found;
}

} // namespace kerfwright::fit
