#include "findings.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

namespace kerfwright::proof {

namespace {

constexpr std::size_t kMostOfAKind = 500;
constexpr int kLineNeighbours = 4;
constexpr double kPlaceNeighbours = 20; ///< mm

double apart(const Finding& a, const Finding& b) {
    return std::hypot(a.at[0] - b.at[0], a.at[1] - b.at[1], a.at[2] - b.at[2]);
}

/// A program that runs too deep or off the table does so at one place after the other: that is one finding.
bool wanders(FindingKind kind) {
    return kind == FindingKind::bed_cut || kind == FindingKind::table_limit;
}

bool neighbours(const Finding& a, const Finding& b) {
    return a.kind == b.kind && a.program == b.program && same_lines(a, b) &&
           (wanders(a.kind) || apart(a, b) <= kPlaceNeighbours);
}

/// Leaves kMostOfAKind findings of each kind in each program; the last of them says how many more there were.
void keep_the_first(std::vector<Finding>& kept,
                    const std::map<std::pair<std::string, FindingKind>, std::vector<std::size_t>>& of_kind) {
    std::vector<std::uint8_t> drop(kept.size(), 0);
    for (const auto& [key, indices] : of_kind) {
        if (indices.size() <= kMostOfAKind) continue;
        kept[indices[kMostOfAKind - 1]].text +=
            fmt::format("; and {} more of this kind", indices.size() - kMostOfAKind);
        for (std::size_t k = kMostOfAKind; k < indices.size(); ++k)
            drop[indices[k]] = 1;
    }
    std::size_t i = 0;
    std::erase_if(kept, [&](const Finding&) { return drop[i++] != 0; });
}

} // namespace

const char* to_string(HeldBy held) {
    switch (held) {
    case HeldBy::nothing:
        return "nothing";
    case HeldBy::skin:
        return "skin";
    case HeldBy::tabs:
        return "tabs";
    case HeldBy::tape:
        return "tape";
    case HeldBy::vacuum:
        return "vacuum";
    }
    return "";
}

const char* to_string(FindingKind kind) {
    switch (kind) {
    case FindingKind::rapid_in_material:
        return "rapid-in-material";
    case FindingKind::clamp_contact:
        return "clamp-contact";
    case FindingKind::holder_contact:
        return "holder-contact";
    case FindingKind::table_limit:
        return "table-limit";
    case FindingKind::bed_cut:
        return "bed-cut";
    case FindingKind::gouge:
        return "gouge";
    case FindingKind::left_standing:
        return "left-standing";
    case FindingKind::freed_part_hit:
        return "freed-part-hit";
    case FindingKind::overload:
        return "overload";
    case FindingKind::spindle_off:
        return "spindle-off";
    case FindingKind::speed_range:
        return "speed-range";
    case FindingKind::no_feed:
        return "no-feed";
    case FindingKind::plunge:
        return "plunge";
    case FindingKind::units:
        return "units";
    case FindingKind::arc:
        return "arc";
    case FindingKind::syntax:
        return "syntax";
    }
    return "";
}

bool same_lines(const Finding& a, const Finding& b) {
    return std::abs(a.line - b.line) <= kLineNeighbours;
}

double excess(const Finding& finding) {
    return std::abs(finding.value - finding.bound);
}

std::vector<Finding> merged(std::vector<Finding> findings, const std::vector<ProgramText>& programs) {
    const auto order_of = [&](const Finding& finding) {
        const auto at = std::find_if(programs.begin(), programs.end(),
                                     [&](const ProgramText& program) { return program.file == finding.program; });
        return at - programs.begin();
    };
    const auto key = [&](const Finding& f) {
        return std::make_tuple(order_of(f), f.line, f.kind, f.at, f.value, f.text);
    };
    std::stable_sort(findings.begin(), findings.end(),
                     [&](const Finding& a, const Finding& b) { return key(a) < key(b); });
    std::vector<Finding> kept;
    std::vector<Finding> last_of_place; // of each kept one, the last that joined it
    std::map<std::pair<std::string, FindingKind>, std::vector<std::size_t>> of_kind; // in kept
    for (Finding& finding : findings) {
        std::vector<std::size_t>& same = of_kind[{finding.program, finding.kind}];
        bool joined = false;
        for (std::size_t k = same.size(); k-- > 0 && !joined;) {
            const std::size_t i = same[k];
            if (!same_lines(last_of_place[i], finding)) break; // sorted by line: no earlier one is nearer
            if (!neighbours(last_of_place[i], finding) && !neighbours(kept[i], finding)) continue;
            last_of_place[i] = finding;
            if (excess(finding) > excess(kept[i])) kept[i] = finding;
            joined = true;
        }
        if (!joined) {
            same.push_back(kept.size());
            kept.push_back(finding);
            last_of_place.push_back(std::move(finding));
        }
    }
    keep_the_first(kept, of_kind);
    std::stable_sort(kept.begin(), kept.end(), [&](const Finding& a, const Finding& b) { return key(a) < key(b); });
    return kept;
}

std::string mm(double value) {
    const std::string text = fmt::format("{:.2f}", value);
    return text == "-0.00" ? "0.00" : text;
}

} // namespace kerfwright::proof
