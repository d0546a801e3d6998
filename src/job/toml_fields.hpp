#pragma once
// Private to job/: a TOML table read field by field. Every fault is thrown as a FieldFault that names its place;
// read_job turns it into a Problem. Keys that nobody asked for are faults too: they are mostly misspelt.

#include "base/quantity.hpp"
#include "base/result.hpp"

#include <toml++/toml.h>

#include <set>
#include <string>

namespace kerfwright::job {

struct FieldFault {
    Problem problem;
};

class Fields {
  public:
    /// `name` is how messages call the table: "[fit]"; "" for the whole file. `units` is the unit of bare lengths.
    Fields(const toml::table& table, std::string file, std::string name, std::string units);

    [[nodiscard]] bool has(const char* key) const;
    /// REQUIRES of the input: a number, or a string with a unit; finite; within [low, high].
    [[nodiscard]] double quantity(const char* key, Dimension dimension, double low, double high) const;
    [[nodiscard]] double quantity_or(const char* key, Dimension dimension, double low, double high,
                                     double otherwise) const;
    [[nodiscard]] double length(const toml::node& node, const std::string& what) const;
    [[nodiscard]] std::string text(const char* key) const;
    [[nodiscard]] std::string text_or(const char* key, const std::string& otherwise) const;
    [[nodiscard]] std::vector<std::string> texts(const char* key) const;
    [[nodiscard]] const toml::array& array(const char* key) const;
    [[nodiscard]] Fields table(const char* key) const;
    [[nodiscard]] const toml::node& node(const char* key) const;
    [[nodiscard]] const toml::table& raw() const { return table_; }
    [[nodiscard]] const std::string& units() const { return units_; }

    /// Two lengths in an array.
    [[nodiscard]] std::pair<double, double> pair(const toml::node& node, const std::string& what) const;
    /// A table inside an array.
    [[nodiscard]] Fields table(const toml::node& node, const std::string& name) const;

    /// Fails on the first key that was never asked for.
    void finish() const;
    [[noreturn]] void fail(const toml::node& at, const std::string& what, const std::string& remedy) const;
    [[noreturn]] void fail(const std::string& what, const std::string& remedy) const;

  private:
    const toml::table& table_;
    std::string file_, name_, units_;
    mutable std::set<std::string, std::less<>> asked_;
};

} // namespace kerfwright::job
