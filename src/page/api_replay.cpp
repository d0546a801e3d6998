// A setup along time: the cutter's way, its loads, and the stock at any moment.

#include "page/api.hpp"

#include <algorithm>
#include <bit>
#include <cmath>

namespace kerfwright::page {
namespace {

static_assert(std::endian::native == std::endian::little, "surfaces are sent as the machine has them");

struct AskedSetup {
    PlanPtr plan;
    std::size_t number = 0;
    [[nodiscard]] const job::PlannedSetup& setup() const { return plan->plan.setups[number]; }
};

AskedSetup setup_of(const Desk& desk, const Request& request) {
    AskedSetup asked{plan_at_hand(desk), 0};
    const std::string name = parameter(request, "setup");
    const auto& setups = asked.plan->plan.setups;
    const auto found = std::find_if(setups.begin(), setups.end(), [&](const auto& s) { return s.name == name; });
    if (found == setups.end())
        throw NotNow{{404, {"", 0, 0, "there is no setup \"" + name + "\"", "look at the plan"}}};
    asked.number = static_cast<std::size_t>(found - setups.begin());
    return asked;
}

std::shared_ptr<const proof::Replay> replay_of(Desk& desk, const AskedSetup& asked) {
    return desk.replays.get(std::to_string(asked.plan->serial), asked.setup().name,
                            [&] { return proof::Replay(job::setup_to_prove(asked.plan->plan, asked.setup())); });
}

/// The plan's own proof, or one made now for a plan that was found on disk.
std::shared_ptr<const proof::SetupProof> proof_of(Desk& desk, const AskedSetup& asked) {
    if (asked.plan->proof) return {asked.plan, &asked.plan->proof->setups[asked.number]};
    return desk.proofs.get(std::to_string(asked.plan->serial), asked.setup().name,
                           [&] { return proof::prove(job::setup_to_prove(asked.plan->plan, asked.setup())); });
}

/// To a tenth of a micrometre and of a millisecond: the text stays short.
double short_number(double value) {
    return std::round(value * 1e4) / 1e4;
}

template <class Values, class Take>
Json column(const Values& values, const Take& take) {
    Json json = Json::array();
    for (const auto& value : values)
        json.push_back(take(value));
    return json;
}

} // namespace

Reply get_replay(Desk& desk, const Request& request) {
    const AskedSetup asked = setup_of(desk, request);
    const auto replay = replay_of(desk, asked);
    const std::vector<proof::PathPoint> path = replay->path();
    const std::vector<proof::LoadStretch>& loads = proof_of(desk, asked)->loads;
    using Point = proof::PathPoint;
    using Load = proof::LoadStretch;
    Json json{{"time", short_number(replay->duration())}};
    json["path"] = {{"t", column(path, [](const Point& p) { return short_number(p.t); })},
                    {"x", column(path, [](const Point& p) { return short_number(p.x); })},
                    {"y", column(path, [](const Point& p) { return short_number(p.y); })},
                    {"z", column(path, [](const Point& p) { return short_number(p.z); })},
                    {"program", column(path, [](const Point& p) { return p.program; })},
                    {"line", column(path, [](const Point& p) { return p.line; })},
                    {"rapid", column(path, [](const Point& p) { return p.rapid ? 1 : 0; })}};
    json["loads"] = {{"t", column(loads, [](const Load& l) { return short_number(l.start); })},
                     {"end", column(loads, [](const Load& l) { return short_number(l.end); })},
                     {"force", column(loads, [](const Load& l) { return short_number(l.force); })},
                     {"power", column(loads, [](const Load& l) { return short_number(l.power); })},
                     {"line", column(loads, [](const Load& l) { return l.first_line; })},
                     {"program", column(loads, [](const Load& l) { return l.program; })}};
    return reply_json(json);
}

Reply get_surface(Desk& desk, const Request& request) {
    const AskedSetup asked = setup_of(desk, request);
    constexpr double kFewest = 2, kMost = 1024;
    const double cells = std::clamp(number_parameter(request, "cells"), kFewest, kMost);
    const double t = std::clamp(number_parameter(request, "t"), 0.0, 1e9);
    const proof::Surface surface = replay_of(desk, asked)->surface_at(t, static_cast<int>(cells));
    std::string bytes(reinterpret_cast<const char*>(surface.z.data()), surface.z.size() * sizeof(float));
    Reply reply = reply_bytes(std::make_shared<const std::string>(std::move(bytes)), "application/octet-stream");
    const Json header{{"x0", surface.x0},
                      {"y0", surface.y0},
                      {"cell", surface.cell},
                      {"columns", surface.columns},
                      {"rows", surface.rows}};
    reply.headers.emplace_back("X-Kerfwright-Surface", header.dump());
    return reply;
}

} // namespace kerfwright::page
