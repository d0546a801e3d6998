#include "cutting/kinematics.hpp"

#include <algorithm>

namespace kerfwright::cutting {

double engagement_angle(double ae, double diameter) {
    return std::acos(1 - 2 * std::clamp(ae / diameter, 0.0, 1.0));
}

double chip_ratio(double ae, double diameter) {
    const double share = std::clamp(ae / diameter, 0.0, 1.0);
    return share >= 0.5 ? 1 : 2 * std::sqrt(share * (1 - share));
}

double mean_chip_ratio(double ae, double diameter) {
    const double share = std::clamp(ae / diameter, 0.0, 1.0);
    return share <= 0 ? 0 : 2 * share / engagement_angle(ae, diameter);
}

std::vector<double> feeds_with_runout(double fz, double tir, int teeth) {
    using std::numbers::pi;
    const double phase = pi / teeth - pi / 2;
    const auto radius = [&](int j) { return tir / 2 * std::cos(2 * pi * j / teeth + phase); };
    std::vector<double> feeds(static_cast<std::size_t>(teeth));
    for (int j = 0; j < teeth; ++j) {
        double thinnest = 1e300;
        for (int m = 1; m <= teeth; ++m)
            thinnest = std::min(thinnest, m * fz + radius(j) - radius(j - m));
        feeds[static_cast<std::size_t>(j)] = std::max(0.0, thinnest);
    }
    return feeds;
}

} // namespace kerfwright::cutting
