#include "cutter_body.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kerfwright::proof {

namespace {

double radians(double degrees) {
    return degrees * std::numbers::pi / 180;
}

} // namespace

CutterBody::CutterBody(const shop::Cutter& cutter) : radius_(cutter.radius()), tip_radius_(cutter.radius()) {
    switch (cutter.kind) {
    case shop::CutterKind::flat:
    case shop::CutterKind::clearing:
        break;
    case shop::CutterKind::ball:
        ball_ = true;
        flat_ = false;
        break;
    case shop::CutterKind::drill:
        if (cutter.tip_angle < 179.9) {
            tip_radius_ = 0;
            cone_ = 1 / std::tan(radians(std::clamp(cutter.tip_angle, 1.0, 179.9) / 2));
            flat_ = false;
        }
        break;
    case shop::CutterKind::tapered:
        if (cutter.taper > 0.01) {
            const double growth = std::tan(radians(std::min(cutter.taper, 85.0)));
            radius_ = tip_radius_ + cutter.APMX * growth;
            cone_ = 1 / growth;
            flat_ = false;
        }
        break;
    }
}

double CutterBody::height_at(double r) const {
    if (ball_) return radius_ - std::sqrt(std::max(0.0, radius_ * radius_ - r * r));
    return cone_ * std::max(0.0, r - tip_radius_);
}

double CutterBody::radius_at(double height) const {
    if (height < 0) return 0;
    if (ball_) return height >= radius_ ? radius_ : std::sqrt(height * (2 * radius_ - height));
    return flat_ ? radius_ : std::min(radius_, tip_radius_ + height / cone_);
}

double CutterBody::downhill_offset(double a, double m) const {
    const double slope = std::abs(m);
    if (slope == 0) return 0;
    const double widest = std::sqrt(std::max(0.0, radius_ * radius_ - a * a));
    if (flat_) return widest;
    if (ball_) return slope * widest / std::sqrt(1 + m * m);
    if (slope >= cone_) return widest;
    const double on_tip = std::sqrt(std::max(0.0, tip_radius_ * tip_radius_ - a * a));
    return std::min(widest, std::max(on_tip, slope * a / std::sqrt(cone_ * cone_ - m * m)));
}

CutterBody CutterBody::thinner(double by) const {
    CutterBody body = *this;
    body.radius_ = std::max(radius_ / 2, radius_ - by);
    body.tip_radius_ = std::max(tip_radius_ / 2, tip_radius_ - by);
    return body;
}

std::vector<StackPart> stack_above(const shop::Cutter& cutter, const shop::Machine& machine) {
    std::vector<StackPart> parts;
    parts.push_back({"shank", cutter.DCON / 2, std::min(cutter.APMX, cutter.LPR)});
    for (const shop::Cylinder& cylinder : machine.stack)
        parts.push_back({cylinder.name, cylinder.diameter / 2, cutter.LPR + cylinder.from});
    std::stable_sort(parts.begin(), parts.end(),
                     [](const StackPart& a, const StackPart& b) { return a.from < b.from; });
    return parts;
}

} // namespace kerfwright::proof
