// Layouts made by hand: judged at once, or completed.

#include "job/json_values.hpp"
#include "page/api.hpp"

#include <fmt/format.h>

#include <cmath>

namespace kerfwright::page {
namespace {

using job::tidy;

std::vector<layout::Placed> placed_of(const Request& request) {
    constexpr std::size_t kMostPlaced = 4000;
    const Json body = body_of(request);
    const Json& list = member(body, "placed");
    if (!list.is_array() || list.size() > kMostPlaced)
        throw BadRequest{{"", 0, 0, "\"placed\" is no list of at most 4000 pieces", "send the pieces of the plan"}};
    std::vector<layout::Placed> placed;
    for (const Json& one : list) {
        const Json& at = member(one, "at");
        if (!at.is_array() || at.size() != 2 || !at[0].is_number() || !at[1].is_number())
            throw BadRequest{{"", 0, 0, "\"at\" is no pair of numbers", "send [x, y]"}};
        const plane::Placement placement{at[0].get<double>(), at[1].get<double>(), number_of(one, "angle")};
        for (const double v : {placement.x, placement.y, placement.angle_deg})
            if (!(std::abs(v) < plane::kRangeMm / 4))
                throw BadRequest{{"", 0, 0, "a piece lies far outside of every sheet", "move it back"}};
        placed.push_back({text_of(one, "piece"), text_of(one, "sheet"), placement, true});
    }
    return placed;
}

/// What is laid out: the pieces of the plan at hand, on the job's shelf as it is now.
std::shared_ptr<const job::LayoutTask> task_of(Desk& desk) {
    const PlanPtr plan = plan_at_hand(desk);
    const OpenedPtr opened = sound_job(desk);
    return desk.layouts.get(std::to_string(plan->serial) + opened->revision, "", [&] {
        auto task = job::layout_task(*opened->job, plan->plan.pieces);
        if (!task) throw NotNow{{400, task.problem()}};
        return std::move(task).value();
    });
}

std::string sentence(const layout::Clash& clash) {
    const std::string by = fmt::format("{:.2f} mm", clash.by);
    if (clash.b == "edge") return clash.a + " is " + by + " too near to the sheet's edge";
    if (clash.b.starts_with("clamp ")) return clash.a + " is " + by + " too near to " + clash.b;
    if (clash.b == "grain") return fmt::format("{} is turned {:.2f}° off the grain", clash.a, clash.by);
    if (clash.b == "material" || clash.b == "thickness") return clash.a + " lies on a sheet of another " + clash.b;
    if (clash.b == "sheet") return clash.a + " lies on a sheet that it cannot be cut from";
    if (clash.b == "part") return clash.a + " is no piece of the plan";
    if (clash.b == clash.a) return clash.a + " lies in two places";
    return clash.a + " and " + clash.b + " are " + by + " too near to each other";
}

} // namespace

Reply post_layout_check(Desk& desk, const Request& request) {
    const std::vector<layout::Placed> placed = placed_of(request);
    const auto task = task_of(desk);
    Json list = Json::array();
    for (const layout::Clash& clash : layout::clashes(task->parts, task->sheets, placed, task->options))
        list.push_back({{"a", clash.a}, {"b", clash.b}, {"by", tidy(clash.by)}, {"text", sentence(clash)}});
    return reply_json({{"clashes", std::move(list)}});
}

Reply post_layout_place(Desk& desk, const Request& request) {
    const std::vector<layout::Placed> fixed = placed_of(request);
    const auto task = task_of(desk);
    const auto placed = layout::place_parts(task->parts, task->sheets, fixed, task->options);
    if (!placed) return refuse(400, placed.problem());
    Json list = Json::array();
    for (const layout::Placed& one : placed.value().placed)
        list.push_back({{"piece", one.id},
                        {"sheet", one.sheet},
                        {"at", {tidy(one.placement.x), tidy(one.placement.y)}},
                        {"angle", tidy(one.placement.angle_deg)},
                        {"locked", one.locked}});
    return reply_json({{"placed", std::move(list)}});
}

} // namespace kerfwright::page
