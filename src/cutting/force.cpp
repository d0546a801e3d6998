#include "cutting/force.hpp"

#include "cutting/kinematics.hpp"

#include <algorithm>

namespace kerfwright::cutting {
namespace {

using std::numbers::pi;

constexpr int kSteps = 720;          ///< of a revolution, in the table: half a degree
constexpr std::size_t kAngles = 120; ///< positions of the cutter that are tried, or a few more: a whole number a tooth
constexpr double kStep = 2 * pi / kSteps;

double load(const shop::Sourced& s, Side side) {
    return side == Side::cautious ? s.high : s.value;
}

/// Integral of sin^p φ w(φ) over [from, to] by Simpson's rule; the integrand is smooth enough for 1e-7.
template <class Weight>
double integral(double p, double from, double to, const Weight& weight) {
    constexpr int n = 2000;
    const double step = (to - from) / n;
    const auto f = [&](double phi) { return std::pow(std::max(0.0, std::sin(phi)), p) * weight(phi); };
    double sum = f(from) + f(to);
    for (int i = 1; i < n; ++i)
        sum += (i % 2 == 1 ? 4 : 2) * f(from + i * step);
    return sum * step / 3;
}

/// Chip terms of an engagement: the integrals of sin^(1-m) φ times 1, cos φ and sin φ.
struct ChipIntegrals {
    double plain, cosine, sine;
};

ChipIntegrals chip_integrals(double m, double from, double to) {
    if (m == 0) {
        return {std::cos(from) - std::cos(to), (std::cos(2 * from) - std::cos(2 * to)) / 4,
                (2 * (to - from) - std::sin(2 * to) + std::sin(2 * from)) / 4};
    }
    return {integral(1 - m, from, to, [](double) { return 1.0; }),
            integral(1 - m, from, to, [](double phi) { return std::cos(phi); }),
            integral(1 - m, from, to, [](double phi) { return std::sin(phi); })};
}

} // namespace

double ForceLaw::tangential(double h) const {
    return h <= 0 ? 0 : kt * std::pow(h, 1 - m) + et;
}

ForceLaw force_law(const shop::Material& material, const shop::Cutter& cutter, Side side) {
    const shop::CuttingForce& f = material.force;
    ForceLaw law;
    const double lift = std::tan(cutter.helix * pi / 180);
    if (f.form == shop::CuttingForce::Form::kienzle) {
        law.m = load(f.mc, side);
        law.kt = load(f.kc11, side);
    } else {
        law.kt = load(f.ktc, side);
        law.et = load(f.kte, side);
    }
    law.kr = f.krc.value > 0 ? load(f.krc, side) : f.radial_ratio * law.kt;
    law.er = f.kre.value > 0 ? load(f.kre, side) : f.radial_ratio * law.et;
    law.ka = f.kac.value > 0 ? load(f.kac, side) * lift / std::tan(pi / 6) : 0.75 * lift * law.kt;
    law.ea = f.kac.value > 0 ? load(f.kae, side) * lift / std::tan(pi / 6) : 0.75 * lift * law.et;
    return law;
}

void engage(Cut& cut, double ae, bool climb) {
    const double arc = engagement_angle(ae, cut.diameter);
    cut.entry = climb ? pi - arc : 0;
    cut.exit = climb ? pi : arc;
}

Force mean_force(const ForceLaw& law, const Cut& cut) {
    const ChipIntegrals chip = chip_integrals(law.m, cut.entry, cut.exit);
    const double c = std::pow(cut.fz, 1 - law.m);
    const double edge_cos = std::sin(cut.exit) - std::sin(cut.entry);
    const double edge_sin = std::cos(cut.entry) - std::cos(cut.exit);
    const double scale = cut.teeth * cut.ap / (2 * pi);
    return {-scale * (law.kt * c * chip.cosine + law.et * edge_cos + law.kr * c * chip.sine + law.er * edge_sin),
            scale * (law.kt * c * chip.sine + law.et * edge_sin - law.kr * c * chip.cosine - law.er * edge_cos),
            scale * (law.ka * c * chip.plain + law.ea * (cut.exit - cut.entry))};
}

double mean_torque(const ForceLaw& law, const Cut& cut) {
    const ChipIntegrals chip = chip_integrals(law.m, cut.entry, cut.exit);
    const double c = std::pow(cut.fz, 1 - law.m);
    return cut.teeth * cut.ap * cut.diameter / (4 * pi) * (law.kt * c * chip.plain + law.et * (cut.exit - cut.entry));
}

ForceTable::ForceTable(const ForceLaw& law, const Cut& cut) : law_(law), cut_(cut), rows_(kSteps + 1) {
    // Midpoint rule inside each step, with the step clipped to the engagement; edge terms exactly.
    for (int i = 0; i < kSteps; ++i) {
        const double from = std::clamp(i * kStep, cut.entry, cut.exit);
        const double to = std::clamp((i + 1) * kStep, cut.entry, cut.exit);
        const Row& last = rows_[static_cast<std::size_t>(i)];
        Row& next = rows_[static_cast<std::size_t>(i) + 1] = last;
        if (to <= from) continue;
        const double mid = (from + to) / 2, s = std::sin(mid), c = std::cos(mid);
        const double chip = (law.m == 0 ? s : std::pow(std::max(0.0, s), 1 - law.m)) * (to - from);
        next.chip += chip;
        next.chip_cos += chip * c;
        next.chip_sin += chip * s;
        next.edge += to - from;
        next.edge_cos += std::sin(to) - std::sin(from);
        next.edge_sin += std::cos(from) - std::cos(to);
    }
}

/// Integral from 0 to φ, where φ may be several revolutions on, or negative.
ForceTable::Row ForceTable::upto(double phi) const {
    const double turns = std::floor(phi / (2 * pi));
    const double at = std::clamp((phi - turns * 2 * pi) / kStep, 0.0, kSteps * 1.0);
    const std::size_t i = std::min(static_cast<std::size_t>(at), rows_.size() - 2);
    const double t = at - static_cast<double>(i);
    const Row &a = rows_[i], &b = rows_[i + 1], &all = rows_.back();
    const auto mix = [&](double Row::*part) { return turns * all.*part + a.*part + t * (b.*part - a.*part); };
    return {mix(&Row::chip), mix(&Row::chip_cos), mix(&Row::chip_sin),
            mix(&Row::edge), mix(&Row::edge_cos), mix(&Row::edge_sin)};
}

PeakForce ForceTable::peak(double fz, double ap) const {
    // A point of the edge at height z is at the angle θ - 2 z tan β / D: the integral over z is one over φ.
    // A straight edge is given the lag of one step of the table.
    const double lag = std::max(2 * ap * std::tan(std::abs(cut_.helix) * pi / 180) / cut_.diameter, kStep);
    const double scale = ap / lag;
    std::vector<double> chips = feeds_with_runout(fz, cut_.runout, cut_.teeth);
    for (double& chip : chips)
        chip = chip > 0 ? std::pow(chip, 1 - law_.m) : 0;

    // Positions fall on one grid for all teeth: what one tooth feels at each, for a chip of 1 mm and for its edge
    // alone.
    const auto teeth = static_cast<std::size_t>(cut_.teeth), pitch = (kAngles + teeth - 1) / teeth,
               angles = pitch * teeth;
    std::vector<Row> felt(angles);
    for (std::size_t k = 0; k < angles; ++k) {
        const double tip = 2 * pi * static_cast<double>(k) / static_cast<double>(angles);
        const Row b = upto(tip), a = upto(tip - lag);
        felt[k] = {b.chip - a.chip, b.chip_cos - a.chip_cos, b.chip_sin - a.chip_sin,
                   b.edge - a.edge, b.edge_cos - a.edge_cos, b.edge_sin - a.edge_sin};
    }

    PeakForce peak;
    peak.axial = -1e300;
    const bool equal = cut_.runout <= 0 || teeth == 1; // one pitch tells all
    const std::size_t positions = equal ? pitch : angles;
    for (std::size_t k = 0; k < positions; ++k) {
        Row sum;
        for (std::size_t j = 0; j < teeth; ++j) {
            const double c = chips[j];
            if (c <= 0) continue;
            const Row& row = felt[(k + j * pitch) % angles];
            sum.chip += c * row.chip;
            sum.chip_cos += c * row.chip_cos;
            sum.chip_sin += c * row.chip_sin;
            sum.edge += row.edge;
            sum.edge_cos += row.edge_cos;
            sum.edge_sin += row.edge_sin;
        }
        const Force force{
            -scale *
                (law_.kt * sum.chip_cos + law_.et * sum.edge_cos + law_.kr * sum.chip_sin + law_.er * sum.edge_sin),
            scale * (law_.kt * sum.chip_sin + law_.et * sum.edge_sin - law_.kr * sum.chip_cos - law_.er * sum.edge_cos),
            scale * (law_.ka * sum.chip + law_.ea * sum.edge)};
        const double torque = scale * (law_.kt * sum.chip + law_.et * sum.edge) * cut_.diameter / 2;
        const double share = 1.0 / static_cast<double>(positions);
        peak.in_plane = std::max(peak.in_plane, std::hypot(force.x, force.y));
        peak.axial = std::max(peak.axial, force.z);
        peak.torque = std::max(peak.torque, torque);
        peak.mean.x += force.x * share;
        peak.mean.y += force.y * share;
        peak.mean.z += force.z * share;
        peak.mean_torque += torque * share;
    }
    return peak;
}

Force ForceTable::mean(double fz, double ap) const {
    const Row& all = rows_.back();
    const double c = std::pow(fz, 1 - law_.m), scale = cut_.teeth * ap / (2 * pi);
    return {-scale * (law_.kt * c * all.chip_cos + law_.et * all.edge_cos + law_.kr * c * all.chip_sin +
                      law_.er * all.edge_sin),
            scale * (law_.kt * c * all.chip_sin + law_.et * all.edge_sin - law_.kr * c * all.chip_cos -
                     law_.er * all.edge_cos),
            scale * (law_.ka * c * all.chip + law_.ea * all.edge)};
}

double ForceTable::torque(double fz, double ap) const {
    const Row& all = rows_.back();
    return cut_.teeth * ap * cut_.diameter / (4 * pi) *
           (law_.kt * std::pow(fz, 1 - law_.m) * all.chip + law_.et * all.edge);
}

PeakForce peak_force(const ForceLaw& law, const Cut& cut) {
    return ForceTable(law, cut).peak(cut.fz, cut.ap);
}

} // namespace kerfwright::cutting
