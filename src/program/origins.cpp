#include "program/interpreter.hpp"

#include <fmt/format.h>

#include <cmath>

namespace kerfwright::program {

using motion::MoveKind;
using motion::Vec3;

namespace {

Vec3 three(const Parameters& parameters, int first) {
    const auto i = static_cast<std::size_t>(first);
    return {parameters[i], parameters[i + 1], parameters[i + 2]};
}

int first_of_system(int system) {
    return 5221 + 20 * (system - 1);
}

} // namespace

Vec3 Interpreter::origin_of(int system) const {
    return three(parameters_, first_of_system(system)) * unit();
}

bool Interpreter::non_modal(int code) {
    switch (code) {
    case 100:
        return set_origin();
    case 280:
    case 300:
        return go_home(code);
    default:
        return shift_axes(code);
    }
}

/// G10 L2: the named axes of an origin, in machine coordinates.
bool Interpreter::set_origin() {
    if (!block_.has('l') || std::abs(block_['l'] - 2) > 0.0001) return fault(Kind::syntax, "G10 without L2", 'l');
    const double p = block_.has('p') ? block_['p'] : 0;
    const int system = p > 0.5 && p < 9.5 ? static_cast<int>(std::lround(p)) : 0;
    if (system == 0 || std::abs(p - system) > 0.0001)
        return fault(Kind::syntax, "G10 L2 needs P, the number of a coordinate system from 1 to 9", 'p');
    if (!options_.origins_known && system == modes_.system)
        fault(Kind::other, "G10 moves the origin that is in use to a machine position, which is not known");
    int index = first_of_system(system);
    for (const char letter : {'x', 'y', 'z'}) {
        if (block_.has(letter)) {
            parameters_[static_cast<std::size_t>(index)] = block_[letter];
            parameter_set_[static_cast<std::size_t>(index)] = true;
            origin_set_[static_cast<std::size_t>(system)] = true;
        }
        ++index;
    }
    if (system == modes_.system) origin_ = origin_of(system);
    return true;
}

/// G28, G30: by a place on the way, if one is given, to the home position.
bool Interpreter::go_home(int code) {
    if (block_.has_axis()) {
        const auto on_the_way = target();
        if (!on_the_way || !emit(MoveKind::rapid, *on_the_way)) return false;
    }
    if (!options_.origins_known)
        return fault(
            Kind::other,
            fmt::format("where the home position of G{} lies is not known; the move to it is left out", code / 10));
    const Vec3 home = three(parameters_, code == 280 ? 5161 : 5181) * unit();
    return emit(MoveKind::rapid, home - first_origin_ - Vec3{0, 0, modes_.tool_length});
}

/// G92 and its kin: the present point gets other coordinates.
bool Interpreter::shift_axes(int code) {
    constexpr int kFirst = 5211;
    const auto keep = [&](const Vec3& value) {
        const double values[] = {value.x / unit(), value.y / unit(), value.z / unit()};
        for (int i = 0; i < 3; ++i) {
            parameters_[static_cast<std::size_t>(kFirst + i)] = values[i];
            parameter_set_[static_cast<std::size_t>(kFirst + i)] = true;
        }
    };
    switch (code) {
    case 920: {
        if (!block_.has_axis()) return fault(Kind::syntax, "G92 without an axis word");
        const Vec3 now = position_ - shift();
        if (block_.has('x')) modes_.shift92.x += now.x - block_['x'] * unit();
        if (block_.has('y')) modes_.shift92.y += now.y - block_['y'] * unit();
        if (block_.has('z')) modes_.shift92.z += now.z - block_['z'] * unit();
        keep(modes_.shift92);
        break;
    }
    case 921:
        modes_.shift92 = {};
        keep({});
        break;
    case 922:
        modes_.shift92 = {};
        break;
    default:
        modes_.shift92 = three(parameters_, kFirst) * unit();
        break;
    }
    return true;
}

} // namespace kerfwright::program
