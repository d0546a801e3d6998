#pragma once
// A proof in words, for the commands that make one.

#include "job/make_plan.hpp"

#include <string>

namespace kerfwright::app {

/// "1:02:03"
[[nodiscard]] std::string clock(double seconds);
/// A table of all findings; "" when there are none.
[[nodiscard]] std::string findings_text(const job::Proof& proof);
/// What each program does and how long it takes, with the bounds of the time.
[[nodiscard]] std::string programs_text(const job::Proof& proof);
/// Which line parts each part and scrap from the sheet, and what holds it then; "" when nothing is parted.
[[nodiscard]] std::string freed_text(const job::Proof& proof);

} // namespace kerfwright::app
