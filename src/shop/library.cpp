#include "shop/library.hpp"

#include "shop/embedded.hpp"

#include <stdexcept>

namespace kerfwright::shop {
namespace {

template <class T>
std::vector<T> must(Result<std::vector<T>> read) {
    if (!read.ok()) throw std::logic_error("shipped data: " + to_string(read.problem()));
    return std::move(read).value();
}

template <class T>
const T* find(const std::vector<T>& all, std::string_view name) {
    for (const T& item : all)
        if (item.name == name) return &item;
    return nullptr;
}

template <class T>
void replace_or_append(std::vector<T>& all, std::vector<T> more) {
    for (T& item : more) {
        const T* old = find(all, item.name);
        if (old)
            all[static_cast<std::size_t>(old - all.data())] = std::move(item);
        else
            all.push_back(std::move(item));
    }
}

template <class T>
std::string names(const std::vector<T>& all) {
    std::string text;
    for (const T& item : all)
        text += (text.empty() ? "" : ", ") + item.name;
    return text;
}

} // namespace

const char* to_string(Sureness sureness) {
    switch (sureness) {
    case Sureness::published:
        return "published";
    case Sureness::derived:
        return "derived";
    case Sureness::common_practice:
        return "common practice";
    case Sureness::from_memory:
        return "from memory";
    case Sureness::measured:
        return "measured";
    }
    return "";
}

const Library& shipped() {
    static const Library library{must(read_materials(embedded::materials, "data/materials.toml")),
                                 must(read_cutters(embedded::cutters, "data/cutters.toml")),
                                 must(read_machines(embedded::machines, "data/machines.toml"))};
    return library;
}

void add(Library& library, std::vector<Material> more) {
    replace_or_append(library.materials, std::move(more));
}
void add(Library& library, std::vector<Cutter> more) {
    replace_or_append(library.cutters, std::move(more));
}
void add(Library& library, std::vector<Machine> more) {
    replace_or_append(library.machines, std::move(more));
}

const Material* find_material(const Library& library, std::string_view name) {
    return find(library.materials, name);
}
const Cutter* find_cutter(const Library& library, std::string_view name) {
    return find(library.cutters, name);
}
const Machine* find_machine(const Library& library, std::string_view name) {
    return find(library.machines, name);
}

std::string material_names(const Library& library) {
    return names(library.materials);
}
std::string cutter_names(const Library& library) {
    return names(library.cutters);
}
std::string machine_names(const Library& library) {
    return names(library.machines);
}

} // namespace kerfwright::shop
