#pragma once
// Two small jobs for the proof's tests, with programs written line by line here, by hand and not by any toolpath code:
// a rounded rectangle cut out of a sheet, and a rounded pocket.

#include "plane/shape.hpp"
#include "proof/proof.hpp"
#include "shop/library.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>
#include <vector>

namespace kit {

using namespace kerfwright;

struct RoundedBox {
    double x0 = 0, y0 = 0, x1 = 0, y1 = 0, r = 0;

    [[nodiscard]] double area() const { return (x1 - x0) * (y1 - y0) - (4 - std::numbers::pi) * r * r; }
    /// The same box, wider by `by` all around (corners stay arcs).
    [[nodiscard]] RoundedBox wider(double by) const { return {x0 - by, y0 - by, x1 + by, y1 + by, r + by}; }
};

/// Chords within a third of a micrometre for radii of some millimetres.
inline plane::Ring ring_of(const RoundedBox& box, int chords_per_corner = 90) {
    plane::Ring ring;
    const double cx[] = {box.x1 - box.r, box.x0 + box.r, box.x0 + box.r, box.x1 - box.r};
    const double cy[] = {box.y1 - box.r, box.y1 - box.r, box.y0 + box.r, box.y0 + box.r};
    for (int corner = 0; corner < 4; ++corner)
        for (int i = 0; i <= chords_per_corner; ++i) {
            const double angle = (corner + static_cast<double>(i) / chords_per_corner) * std::numbers::pi / 2;
            const plane::Point p =
                plane::to_grid({cx[corner] + box.r * std::cos(angle), cy[corner] + box.r * std::sin(angle)});
            if (ring.empty() || ring.back() != p) ring.push_back(p);
        }
    return ring;
}

inline std::string num(double v) {
    const std::string text = fmt::format("{:.3f}", v);
    return text == "-0.000" ? "0.000" : text;
}

/// Lines of a program, so that a test can change one of them.
struct Lines {
    std::vector<std::string> lines;
    void add(std::string line) { lines.push_back(std::move(line)); }
    [[nodiscard]] std::string text() const {
        std::string all;
        for (const std::string& line : lines)
            all += line + "\n";
        return all;
    }
    /// 1-based number of the n-th line that contains `part`; 0 if there is none.
    [[nodiscard]] int find(const std::string& part, int nth = 1) const {
        for (std::size_t i = 0; i < lines.size(); ++i)
            if (lines[i].find(part) != std::string::npos && --nth == 0) return static_cast<int>(i) + 1;
        return 0;
    }
    std::string& at(int line) { return lines[static_cast<std::size_t>(line) - 1]; }
};

/// Once around a box, clockwise, from the middle of its lower edge; the first edge goes down to `z`.
inline void lap_clockwise(Lines& program, const RoundedBox& box, double z) {
    const double r = box.r;
    program.add(fmt::format("G1 X{} Z{}", num(box.x0 + r), num(z)));
    program.add(fmt::format("G2 X{} Y{} I0 J{}", num(box.x0), num(box.y0 + r), num(r)));
    program.add(fmt::format("G1 Y{}", num(box.y1 - r)));
    program.add(fmt::format("G2 X{} Y{} I{} J0", num(box.x0 + r), num(box.y1), num(r)));
    program.add(fmt::format("G1 X{}", num(box.x1 - r)));
    program.add(fmt::format("G2 X{} Y{} I0 J{}", num(box.x1), num(box.y1 - r), num(-r)));
    program.add(fmt::format("G1 Y{}", num(box.y0 + r)));
    program.add(fmt::format("G2 X{} Y{} I{} J0", num(box.x1 - r), num(box.y0), num(-r)));
    program.add(fmt::format("G1 X{}", num((box.x0 + box.x1) / 2)));
}

inline void header(Lines& program) {
    program.add("(kit)");
    program.add("G21 G17 G90 G94 G40 G49 G80 G54");
    program.add("S18000 M3");
}

inline void footer(Lines& program, double clearance) {
    program.add(fmt::format("G0 Z{}", num(clearance)));
    program.add("M5");
    program.add("M2");
}

inline shop::Cutter flat_cutter(const std::string& name, double diameter) {
    shop::Cutter cutter;
    cutter.name = name;
    cutter.DC = cutter.DCON = diameter;
    cutter.APMX = 20;
    cutter.LPR = 30;
    return cutter;
}

inline shop::Machine machine() {
    shop::Machine machine;
    machine.name = "test";
    machine.axes[2].travel = 90;
    machine.stack = {{"nut", 28, 0, 20}, {"spindle", 65, 20, 120}};
    return machine;
}

inline plane::Polygon sheet(double width, double height) {
    return {plane::rectangle({0, 0}, {width, height}), {}};
}

/// The plan behind both programs: a slot of 2 mm depth at 1200 mm/min in MDF.
inline void add_plan(proof::SetupToProve& setup) {
    setup.feed_max = {{"flat-6", 1200}};
    setup.material = *shop::find_material(shop::shipped(), "mdf");
    cutting::FeedPlan plan;
    plan.cutter = "flat-6";
    plan.setting = {18000, 1200, 1200.0 / (2 * 18000), 2, 6, 600, 3, 3, 6};
    setup.plans = {plan};
}

struct Job {
    proof::SetupToProve setup;
    Lines program;

    [[nodiscard]] proof::SetupProof prove(int threads = 1, double cell = 0.25) {
        setup.programs.at(0).text = program.text();
        return proof::prove(setup, {cell, threads});
    }
};

/// A part of 60 x 40 mm, corners of 5 mm, out of 6 mm: three laps, the last 0.2 mm into the bed. Zero on the bed.
inline const RoundedBox kPart{30, 25, 90, 65, 5};

inline Job profile_job() {
    Job job;
    proof::SetupToProve& setup = job.setup;
    setup.name = "profile";
    setup.stock = {sheet(120, 90), 6, 0, 0};
    setup.cutters = {flat_cutter("flat-6", 6)};
    setup.machine = machine();
    setup.holds = {shop::Hold::tape};
    setup.parts = {{"part", {ring_of(kPart), {}}, 0, {}}};
    add_plan(setup);
    setup.programs = {{"profile.nc", "", "flat-6"}};
    const RoundedBox path = kPart.wider(3);
    header(job.program);
    job.program.add("G0 Z11");
    job.program.add(fmt::format("G0 X{} Y{}", num(60), num(path.y0)));
    job.program.add("G0 Z7");
    job.program.add("G1 Z6 F1200");
    for (const double z : {4.0, 2.0, -0.2})
        lap_clockwise(job.program, path, z);
    job.program.add(fmt::format("G1 X{}", num(path.x0 + path.r)));
    footer(job.program, 11);
    return job;
}

/// A pocket of 60 x 40 mm, corners of 5 mm, 4 mm deep in two levels, cleared from the middle outwards. Zero on top.
inline Job pocket_job() {
    Job job;
    proof::SetupToProve& setup = job.setup;
    setup.name = "pocket";
    setup.stock = {sheet(120, 90), 0, -12, 0};
    setup.z_zero_on_bed = false;
    setup.cutters = {flat_cutter("flat-6", 6)};
    setup.machine = machine();
    setup.holds = {shop::Hold::clamps};
    setup.wall = {{ring_of(kPart), {}}};
    setup.floors = {{"", setup.wall, 4}};
    add_plan(setup);
    setup.programs = {{"pocket.nc", "", "flat-6"}};
    header(job.program);
    job.program.add("G0 Z5");
    for (const double z : {-2.0, -4.0}) {
        job.program.add("G0 Z5");
        const RoundedBox inner = kPart.wider(-3);
        std::vector<RoundedBox> laps;
        for (double in = 0; inner.y1 - inner.y0 - 2 * in > 0.5; in += 2.5)
            laps.push_back({inner.x0 + in, inner.y0 + in, inner.x1 - in, inner.y1 - in, in == 0 ? 2.0 : 0.1});
        std::reverse(laps.begin(), laps.end());
        job.program.add(fmt::format("G0 X60 Y{}", num(laps.front().y0)));
        job.program.add("G0 Z1");
        job.program.add(fmt::format("G1 Z{} F600", num(z + 2)));
        for (const RoundedBox& lap : laps) {
            job.program.add(fmt::format("G1 Y{} F1200", num(lap.y0)));
            lap_clockwise(job.program, lap, z);
            job.program.add(fmt::format("G1 X{}", num(lap.x0 + lap.r)));
            job.program.add("G1 X60");
        }
    }
    footer(job.program, 5);
    return job;
}

inline bool has(const proof::SetupProof& proof, proof::FindingKind kind) {
    return std::any_of(proof.findings.begin(), proof.findings.end(),
                       [&](const proof::Finding& f) { return f.kind == kind; });
}

inline const proof::Finding* first(const proof::SetupProof& proof, proof::FindingKind kind) {
    const auto at = std::find_if(proof.findings.begin(), proof.findings.end(),
                                 [&](const proof::Finding& f) { return f.kind == kind; });
    return at == proof.findings.end() ? nullptr : &*at;
}

/// All findings, for messages of failed checks.
inline std::string told(const proof::SetupProof& proof) {
    std::string all;
    for (const proof::Finding& f : proof.findings)
        all += fmt::format("{} {}:{} at {:.2f} {:.2f} {:.2f} value {:.3f} bound {:.3f}: {}\n", proof::to_string(f.kind),
                           f.program, f.line, f.at[0], f.at[1], f.at[2], f.value, f.bound, f.text);
    return all;
}

} // namespace kit
