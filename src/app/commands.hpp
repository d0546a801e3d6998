#pragma once
// The commands. Each takes what the command line gave and returns the exit status.

#include "app/console.hpp"
#include "job/foreign.hpp"

#include <optional>
#include <string>
#include <vector>

namespace kerfwright::app {

struct NewArguments {
    std::string folder, drawing;
    double width = 0;
    std::string region = "id";
};
[[nodiscard]] int run_new(const Console& console, const NewArguments& arguments);

struct LookArguments {
    std::string file; ///< a drawing or a job
    double width = 0;
    std::string region = "id";
};
[[nodiscard]] int run_look(const Console& console, const LookArguments& arguments);

struct PlanArguments {
    std::string job, out;
};
[[nodiscard]] int run_plan(const Console& console, const PlanArguments& arguments);

struct RecutArguments {
    std::string job, piece, sheet, out;
};
[[nodiscard]] int run_recut(const Console& console, const RecutArguments& arguments);

struct CouponArguments {
    std::string kind, material, cutter, machine = "gantry-600", out;
    double thickness = 6;
    std::vector<std::string> hold;
};
[[nodiscard]] int run_coupon(const Console& console, const CouponArguments& arguments);

struct LogArguments {
    std::string file = "kerfwright-log.sqlite", kind, date, material, cutter, outcome, hold, note;
    double asked = 0, measured = 0, n = 0, vf = 0, margin = 0;
    bool inside = false;
};
[[nodiscard]] int run_log_add(const Console& console, const LogArguments& arguments);
[[nodiscard]] int run_log_show(const Console& console, const LogArguments& arguments);

struct ProveArguments {
    std::string target;       ///< an output folder, a job, or the first program
    std::string setup;        ///< with a job: the setup whose stock and parts count
    job::ForeignWish foreign; ///< without one: the stock, and how it is cut
    std::vector<std::string> programs;
};
[[nodiscard]] int run_prove(const Console& console, const ProveArguments& arguments);

struct FeedsArguments {
    std::string material, cutter, machine = "gantry-600", step = "profile"; ///< names, or TOML files
    double depth = 6;
    std::optional<double> n, vf, ap, ae;
    std::string tap, listen; ///< recordings
    std::string log;         ///< of the shop; "" for none
    double stiffness = 0;    ///< N/mm at the tip; 0 when not measured
};
[[nodiscard]] int run_feeds(const Console& console, const FeedsArguments& arguments);

struct PageArguments {
    std::string job; ///< "" for none
    int port = 0;
    bool no_open = false;
};
[[nodiscard]] int run_page(const Console& console, const PageArguments& arguments);

[[nodiscard]] int run_fit(const Console& console, const std::string& job);
[[nodiscard]] int run_hold(const Console& console, const std::string& job);
[[nodiscard]] int run_quote(const Console& console, const std::string& job);

} // namespace kerfwright::app
