#pragma once
// Large programs for the tests of cost and for the benchmark: written here line by line, and right, so that a proof of
// them has no finding.

#include "kit.hpp"

namespace workloads {

using namespace kerfwright;

/// Straight on to (x, y) in steps of about `step` mm, from where the program is.
class Walk {
  public:
    Walk(std::string& text, double x, double y, double step) : text_(text), x_(x), y_(y), step_(step) {}

    void to(double x, double y) {
        const int count = std::max(1, static_cast<int>(std::ceil(std::hypot(x - x_, y - y_) / step_ - 1e-9)));
        for (int i = 1; i <= count; ++i)
            fmt::format_to(std::back_inserter(text_), "X{:.3f} Y{:.3f}\n", x_ + (x - x_) * i / count,
                           y_ + (y - y_) * i / count);
        lines_ += static_cast<std::size_t>(count);
        x_ = x, y_ = y;
    }
    [[nodiscard]] std::size_t lines() const { return lines_; }

  private:
    std::string& text_;
    double x_, y_, step_;
    std::size_t lines_ = 0;
};

inline proof::SetupToProve flat_setup(const char* cutter, double diameter, double width, double height) {
    proof::SetupToProve setup;
    setup.name = "workload";
    setup.stock = {kit::sheet(width, height), 0, -18, 0};
    setup.z_zero_on_bed = false;
    setup.cutters = {kit::flat_cutter(cutter, diameter)};
    setup.machine = kit::machine();
    for (shop::Axis& axis : setup.machine.axes)
        axis.travel = 2600;
    setup.holds = {shop::Hold::tape};
    setup.programs = {{"workload.nc", "", cutter}};
    return setup;
}

/// A pocket of `side` mm in levels of 1 mm, in laps of 4 mm with a cutter of 6 mm, all in steps of `step` mm: 554 mm in
/// four levels and 0.3 mm is a million lines.
inline proof::SetupToProve short_lines(double side, int levels, double step) {
    proof::SetupToProve setup = flat_setup("flat-6", 6, side + 20, side + 20);
    kit::add_plan(setup);
    const kit::RoundedBox box{10, 10, 10 + side, 10 + side, 5};
    setup.wall = {{kit::ring_of(box), {}}};
    setup.floors = {{"", setup.wall, static_cast<double>(levels)}};
    const kit::RoundedBox path = box.wider(-3);
    const double middle = 10 + side / 2;
    std::string& text = setup.programs[0].text;
    text = "G21 G17 G90 G94 G40 G49 G80 G54\nS18000 M3\nG0 Z5\n";
    for (int level = 1; level <= levels; ++level) {
        fmt::format_to(std::back_inserter(text), "G0 Z5\nG0 X{0:.3f} Y{0:.3f}\nG0 Z1\nG1 Z{1} F600\nF1200\n", middle,
                       -level);
        Walk walk(text, middle, middle, step);
        const int laps = static_cast<int>(std::ceil((path.x1 - path.x0) / 8));
        for (int lap = laps - 1; lap >= 0; --lap) {
            const double half = (path.x1 - path.x0) / 2 - 4 * lap;
            if (half <= 0) continue;
            const double low = middle - half, high = middle + half, r = lap == 0 ? path.r : 0;
            walk.to(middle, low);
            for (int corner = 0; corner < 4; ++corner) { // counter-clockwise: climb
                const double cx = corner == 0 || corner == 1 ? high - r : low + r;
                const double cy = corner == 0 || corner == 3 ? low + r : high - r;
                const int chords = r > 0 ? 24 : 0;
                for (int i = 0; i <= chords; ++i) {
                    const double angle =
                        (corner - 1 + (chords ? static_cast<double>(i) / chords : 0)) * std::numbers::pi / 2;
                    walk.to(cx + r * std::cos(angle), cy + r * std::sin(angle));
                }
            }
            walk.to(middle, low);
        }
    }
    text += "G0 Z5\nM5\nM2\n";
    return setup;
}

/// A sheet cleared all over by 2 mm with a cutter of 25 mm, to and fro along X in lanes of 20 mm and steps of `step`.
inline proof::SetupToProve cleared_sheet(double width, double height, double step) {
    proof::SetupToProve setup = flat_setup("clearing-25", 25, width, height);
    setup.floors = {{"", {setup.stock.outline}, 2}};
    std::string& text = setup.programs[0].text;
    text = "G21 G17 G90 G94 G40 G49 G80 G54\nS18000 M3\nG0 Z5\nG0 X-20 Y0\nG1 Z-2 F3000\n";
    Walk walk(text, -20, 0, step);
    bool forth = true;
    for (double y = 0; y < height + 20; y += 20, forth = !forth) {
        walk.to(forth ? -20 : width + 20, y);
        walk.to(forth ? width + 20 : -20, y);
    }
    text += "G0 Z5\nM5\nM2\n";
    return setup;
}

inline std::size_t lines_in(const proof::SetupToProve& setup) {
    return static_cast<std::size_t>(std::count(setup.programs[0].text.begin(), setup.programs[0].text.end(), '\n'));
}

} // namespace workloads
