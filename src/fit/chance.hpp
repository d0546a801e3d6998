#pragma once
// Private to fit/: the Monte Carlo run over errors and climate.

#include "fit/contacts.hpp"

namespace kerfwright::fit {

void add_chance(Assembly& assembly, const std::vector<AssemblyPiece>& pieces, const AssemblyWall& wall,
                const std::vector<Solid>& solids, const AssemblyOptions& options);

} // namespace kerfwright::fit
