#include "job/shop_named.hpp"

#include "job/files.hpp"

#include <fmt/format.h>

namespace kerfwright::job {
namespace {

template <class Thing, class Read>
Result<Thing> named(const char* what, const std::string& name, const Thing* shipped, const std::string& names,
                    const Read& read) {
    if (shipped != nullptr) return *shipped;
    if (!name.ends_with(".toml"))
        return Problem{"", 0, 0, fmt::format("there is no {} \"{}\"", what, name),
                       fmt::format("use one of {}, or a TOML file", names)};
    auto text = read_file(name);
    if (!text) return text.problem();
    auto things = read(text.value(), name);
    if (!things) return things.problem();
    if (things.value().empty())
        return Problem{name, 0, 0, fmt::format("the file describes no {}", what),
                       fmt::format("describe one in it, as [[{}]]", what)};
    return std::move(things.value().front());
}

} // namespace

Result<shop::Material> material_named(const std::string& name) {
    const shop::Library& library = shop::shipped();
    return named("material", name, find_material(library, name), material_names(library), shop::read_materials);
}

Result<shop::Cutter> cutter_named(const std::string& name) {
    const shop::Library& library = shop::shipped();
    return named("cutter", name, find_cutter(library, name), cutter_names(library), shop::read_cutters);
}

Result<shop::Machine> machine_named(const std::string& name) {
    const shop::Library& library = shop::shipped();
    return named("machine", name, find_machine(library, name), machine_names(library), shop::read_machines);
}

} // namespace kerfwright::job
