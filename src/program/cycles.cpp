// Canned cycles (NISTIR 6556, 3.5.16) in all three planes, as the moves they stand for.

#include "program/interpreter.hpp"

#include <fmt/format.h>

#include <cmath>

namespace kerfwright::program {

using motion::MoveKind;
using motion::PlaneVec;
using motion::Vec3;

/// Levels along the plane's normal, mm, in the frame of the moves.
struct Interpreter::CycleFrame {
    double bottom = 0;
    double r = 0;
    double clear = 0; ///< where the tool comes back to
};

/// Takes the words of this line over those that stay from the line before, and says what is missing.
bool Interpreter::cycle_words(int code) {
    static constexpr char kDepth[] = {'x', 'y', 'z'};
    const char depth = kDepth[static_cast<std::size_t>(modes_.normal)];
    if (cycle_.code != code) cycle_ = {};
    cycle_.code = code;
    const auto take = [&](char letter, std::optional<double>& value) {
        if (block_.has(letter)) value = block_[letter];
        return value.has_value();
    };
    const auto name = [&] { return fmt::format("the cycle G{}", code / 10); };
    if (!take(depth, cycle_.depth))
        return fault(Kind::syntax, fmt::format("{} needs {}", name(), static_cast<char>(depth - 'a' + 'A')));
    if (!take('r', cycle_.r)) return fault(Kind::syntax, fmt::format("{} needs R", name()));
    if (code == 820 || code == 860 || code == 880 || code == 890) {
        if (!take('p', cycle_.p)) return fault(Kind::syntax, fmt::format("{} needs P", name()));
        if (*cycle_.p < 0) return fault(Kind::syntax, "a dwell of negative time", 'p');
    }
    if (code == 830) {
        if (!take('q', cycle_.q)) return fault(Kind::syntax, fmt::format("{} needs Q", name()));
        if (!(*cycle_.q > 0)) return fault(Kind::syntax, "Q must be above zero", 'q');
    }
    if (code == 870) {
        take('i', cycle_.i);
        take('j', cycle_.j);
        take('k', cycle_.k);
        const PlaneVec given = in_plane({cycle_.i ? 1.0 : 0, cycle_.j ? 1.0 : 0, cycle_.k ? 1.0 : 0}, modes_.normal);
        if (given.w == 0)
            return fault(Kind::syntax, "the cycle G87 needs the height it bores up to (K in the XY plane)");
        if (given.u == 0 && given.v == 0)
            return fault(Kind::syntax, "the cycle G87 needs the offset it goes in by (I and J in the XY plane)");
    }
    return true;
}

bool Interpreter::cycle(int code) {
    if (modes_.inverse_time) return fault(Kind::syntax, "a canned cycle under inverse-time feed (G93)");
    if (!block_.has_axis()) return fault(Kind::syntax, fmt::format("the cycle G{} without X, Y or Z", code / 10));
    if (!cycle_words(code)) return false;
    double repeats = block_.has('l') ? block_['l'] : 1;
    if (!(repeats > 0.5 && repeats < 1e6) || std::abs(repeats - std::round(repeats)) > 0.0001)
        return fault(Kind::syntax, "L must be a whole number above zero", 'l');
    if ((code == 840 && modes_.turning <= 0) || (code == 860 && modes_.turning == 0) ||
        (code == 870 && modes_.turning == 0) || (code == 880 && modes_.turning == 0))
        return fault(Kind::spindle, fmt::format("the cycle G{} needs the spindle turning{}", code / 10,
                                                code == 840 ? " clockwise" : ""));
    feed_known();

    const PlaneVec shift_now = in_plane(shift(), modes_.normal);
    const PlaneVec now = in_plane(position_, modes_.normal);
    CycleFrame frame;
    frame.r = modes_.incremental ? now.w + *cycle_.r * unit() : *cycle_.r * unit() + shift_now.w;
    frame.bottom = *cycle_.depth * unit() + (modes_.incremental ? frame.r : shift_now.w);
    frame.clear = modes_.retract_to_start ? std::max(now.w, frame.r) : frame.r;
    if (frame.r < frame.bottom) return fault(Kind::syntax, "R lies below the bottom of the cycle", 'r');

    if (now.w < frame.r && !emit(MoveKind::rapid, from_plane({now.u, now.v, frame.r}, modes_.normal))) return false;
    for (int left = static_cast<int>(std::round(repeats)); left > 0; --left) {
        auto at = target();
        if (!at) return false;
        PlaneVec over = in_plane(*at, modes_.normal);
        over.w = in_plane(position_, modes_.normal).w;
        if (!emit(MoveKind::rapid, from_plane(over, modes_.normal)) || !one_hole(code, frame)) return false;
    }
    return true;
}

bool Interpreter::one_hole(int code, const CycleFrame& frame) {
    const PlaneVec over = in_plane(position_, modes_.normal);
    const auto level = [&](double w) { return from_plane({over.u, over.v, w}, modes_.normal); };
    if (code == 870) return bore_back(frame);
    if (over.w != frame.r && !emit(MoveKind::rapid, level(frame.r))) return false;
    if (code == 830) return peck(frame) && emit(MoveKind::rapid, level(frame.clear));
    if (!emit(MoveKind::line, level(frame.bottom))) return false;

    const bool dwells = code == 820 || code == 860 || code == 880 || code == 890;
    if (dwells && !wait(*cycle_.p)) return false;
    const int turning = modes_.turning;
    switch (code) {
    case 840: { // out again with the spindle the other way
        modes_.turning = -turning;
        const bool out = emit(MoveKind::line, level(frame.clear));
        modes_.turning = turning;
        return out;
    }
    case 850:
    case 890:
        return emit(MoveKind::line, level(frame.clear));
    case 860: {
        modes_.turning = 0;
        const bool out = emit(MoveKind::rapid, level(frame.clear));
        modes_.turning = turning;
        return out;
    }
    case 880: { // a person draws the spindle back
        modes_.turning = 0;
        const bool out = emit(MoveKind::stop, position_) && emit(MoveKind::rapid, level(frame.clear));
        modes_.turning = turning;
        return out;
    }
    default:
        return emit(MoveKind::rapid, level(frame.clear));
    }
}

/// G83: down by Q, out to clear the chips, back to just above the last bottom.
bool Interpreter::peck(const CycleFrame& frame) {
    const PlaneVec over = in_plane(position_, modes_.normal);
    const auto level = [&](double w) { return from_plane({over.u, over.v, w}, modes_.normal); };
    const double step = *cycle_.q * unit();
    double depth = frame.r;
    while (true) {
        const double last = depth;
        depth = depth - step > frame.bottom ? depth - step : frame.bottom;
        if (depth == last && depth != frame.bottom) return fault(Kind::syntax, "Q is too small to get down by", 'q');
        if (!emit(MoveKind::line, level(depth))) return false;
        if (depth <= frame.bottom) return true;
        const double back = std::min(depth + options_.peck_back_off, frame.clear);
        if (!emit(MoveKind::rapid, level(frame.clear)) || !emit(MoveKind::rapid, level(back))) return false;
    }
}

/// G87: in with the spindle still and beside the hole, then up from below to the level given by K.
bool Interpreter::bore_back(const CycleFrame& frame) {
    const PlaneVec over = in_plane(position_, modes_.normal);
    const PlaneVec words = in_plane({cycle_.i.value_or(0), cycle_.j.value_or(0), cycle_.k.value_or(0)}, modes_.normal);
    const double base = modes_.incremental ? frame.bottom : in_plane(shift(), modes_.normal).w;
    const double top = words.w * unit() + base;
    if (top < frame.bottom || top > frame.r)
        return fault(Kind::syntax, "the level that G87 bores up to must lie between its bottom and R");
    const PlaneVec beside{over.u + words.u * unit(), over.v + words.v * unit(), 0};
    const auto at = [&](const PlaneVec& p, double w) { return from_plane({p.u, p.v, w}, modes_.normal); };
    const int turning = modes_.turning;
    if (over.w != frame.r && !emit(MoveKind::rapid, at(over, frame.r))) return false;
    modes_.turning = 0;
    bool good = emit(MoveKind::rapid, at(beside, frame.r)) && emit(MoveKind::rapid, at(beside, frame.bottom)) &&
                emit(MoveKind::rapid, at(over, frame.bottom));
    modes_.turning = turning;
    good = good && emit(MoveKind::line, at(over, top)) && emit(MoveKind::line, at(over, frame.bottom));
    modes_.turning = 0;
    good = good && emit(MoveKind::rapid, at(beside, frame.bottom)) && emit(MoveKind::rapid, at(beside, frame.clear)) &&
           emit(MoveKind::rapid, at(over, frame.clear));
    modes_.turning = turning;
    return good;
}

} // namespace kerfwright::program
