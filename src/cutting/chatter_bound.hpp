#pragma once
// The chatter limit of a situation. Private to cutting/.

#include "cutting/chatter.hpp"
#include "cutting/limits.hpp"

namespace kerfwright::cutting {

[[nodiscard]] ChatterOutlook outlook_of(const Situation& at);
[[nodiscard]] ChatterBound chatter_bound(const Situation& at);
/// What a plan says of chatter, known or not.
[[nodiscard]] std::string chatter_note(const Situation& at);

} // namespace kerfwright::cutting
