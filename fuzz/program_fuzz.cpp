// The program reader on any bytes: moves within its promises. What it read is then written again, and must read without
// faults.

#include "program/read.hpp"
#include "program/write.hpp"

#include <cmath>
#include <cstdint>
#include <cstdlib>

namespace {

using namespace kerfwright;

void check(bool holds) {
    if (!holds) std::abort();
}

bool near(motion::Vec3 v) {
    return std::abs(v.x) <= 21'000 && std::abs(v.y) <= 21'000 && std::abs(v.z) <= 21'000;
}

void check_reading(const program::Reading& reading, const program::ReadOptions& options) {
    check(reading.moves.size() <= options.most_moves);
    check(reading.faults.size() <= options.most_faults + 1);
    for (const motion::Move& move : reading.moves) {
        check(near(move.from) && near(move.to));
        check(std::isfinite(move.feed) && std::isfinite(move.spindle) && std::isfinite(move.seconds));
        check(std::isfinite(motion::length(move)));
        check(move.line > 0);
    }
    for (const program::Fault& fault : reading.faults)
        check(!fault.text.empty() && fault.line >= 0 && fault.column >= 0);
}

void check_written(const program::Reading& reading, std::size_t size) {
    shop::Machine machine;
    machine.abilities.arcs = size % 3 != 0;
    machine.abilities.helical_arcs = size % 5 != 0;
    machine.abilities.inches = size % 4 == 0;
    machine.abilities.decimals = machine.abilities.inches ? 4 : 3;
    machine.abilities.line_numbers = size % 7 == 0;
    program::ProgramToWrite again;
    again.header = {"written again"};
    again.n = 12'000;
    again.sections = {{"all", reading.moves}};
    const auto text = program::write_program(again, machine);
    if (!text) {
        check(!text.problem().what.empty() && !text.problem().remedy.empty());
        return;
    }
    check(program::read_program(text.value()).faults.empty());
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size > 100'000) return 0;
    program::ReadOptions options;
    options.most_moves = 2'000;
    options.past_end = size % 2 == 0;
    options.origins_known = size % 3 == 0;
    options.block_delete = size % 5 == 0;
    options.start = {0, 0, 5};
    if (size % 2 == 0) {
        options.tools[1] = {10, 6};
        options.tools[2] = {0, -0.5};
    } else {
        options.cutter_diameter = 3;
    }
    const auto reading = program::read_program({reinterpret_cast<const char*>(data), size}, options);
    check_reading(reading, options);
    check_written(reading, size);
    return 0;
}
