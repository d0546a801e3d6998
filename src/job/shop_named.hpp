#pragma once
// A material, a cutter or a machine as people name it on a command line: a shipped name, or a TOML file, of which
// the first counts, as in the job file.

#include "base/result.hpp"
#include "shop/library.hpp"

#include <string>

namespace kerfwright::job {

// Each fails on a name that is neither shipped nor a file (ending .toml), on a file that cannot be read, and on one
// that does not describe exactly one.

[[nodiscard]] Result<shop::Material> material_named(const std::string& name);
[[nodiscard]] Result<shop::Cutter> cutter_named(const std::string& name);
[[nodiscard]] Result<shop::Machine> machine_named(const std::string& name);

} // namespace kerfwright::job
