#include "timeline.hpp"

namespace kerfwright::proof {

Timeline timeline_of(const Sequence& sequence, const shop::Machine& machine) {
    Timeline timeline;
    timeline.start.reserve(sequence.moves.size() + 1);
    double run_start = 0;
    for (const Run& run : sequence.runs) {
        const bool all = run.last_move - run.first_move == sequence.moves.size(); // then there is no need for a copy
        const auto begin = sequence.moves.begin();
        const std::vector<motion::Move> some =
            all ? std::vector<motion::Move>{}
                : std::vector<motion::Move>(begin + static_cast<std::ptrdiff_t>(run.first_move),
                                            begin + static_cast<std::ptrdiff_t>(run.last_move));
        const std::vector<motion::Move>& moves = all ? sequence.moves : some;
        const motion::Timing timing = motion::time_of(moves, machine);
        double at = run_start;
        for (const double seconds : timing.per_move) {
            timeline.start.push_back(at);
            at += seconds;
        }
        timeline.run_time.push_back(timing.total);
        timeline.run_bounds.push_back(motion::bounds_of(moves, machine));
        run_start += timing.total;
    }
    timeline.start.push_back(run_start);
    return timeline;
}

} // namespace kerfwright::proof
