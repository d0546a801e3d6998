#pragma once
// What is shipped with the program, embedded in it, and how to look a name up.

#include "shop/cutter.hpp"
#include "shop/machine.hpp"
#include "shop/material.hpp"

namespace kerfwright::shop {

/// Everything the shop can choose from.
struct Library {
    std::vector<Material> materials;
    std::vector<Cutter> cutters;
    std::vector<Machine> machines;
};

/// The shipped data (data/*.toml, compiled in). A fault in it is a bug: tests read it.
[[nodiscard]] const Library& shipped();

/// Adds what the shop brings itself; a name that is there already is replaced.
void add(Library& library, std::vector<Material> more);
void add(Library& library, std::vector<Cutter> more);
void add(Library& library, std::vector<Machine> more);

[[nodiscard]] const Material* find_material(const Library& library, std::string_view name);
[[nodiscard]] const Cutter* find_cutter(const Library& library, std::string_view name);
[[nodiscard]] const Machine* find_machine(const Library& library, std::string_view name);

/// "mdf, particleboard, ...": for messages that name what there is.
[[nodiscard]] std::string material_names(const Library& library);
[[nodiscard]] std::string cutter_names(const Library& library);
[[nodiscard]] std::string machine_names(const Library& library);

} // namespace kerfwright::shop
