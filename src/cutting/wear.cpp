#include "cutting/wear.hpp"

#include "cutting/kinematics.hpp"

#include <algorithm>

namespace kerfwright::cutting {

double edge_life(const shop::Material& material, const shop::Cutter& cutter, const Setting& setting) {
    const double scale = std::pow(cutter.DC / 6, material.fz_scale_exponent);
    const double middle = (material.fz_min.value + material.fz_max.value) / 2 * scale;
    double factor = setting.fz / middle;
    if (material.kind == shop::MaterialKind::metal && setting.n > 0)
        factor *= std::pow(material.vc_max.low / surface_speed(cutter.DC, setting.n), 1 / 0.25 - 1);
    return material.cutter_life.value * std::clamp(factor, 0.25, 4.0) * (cutter.carbide ? 1 : 0.2);
}

double cost_per_metre(double price, double life, int regrinds, double regrind_price) {
    return (price + regrinds * regrind_price) / ((regrinds + 1) * life);
}

} // namespace kerfwright::cutting
