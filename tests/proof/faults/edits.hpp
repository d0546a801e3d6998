#pragma once
// Edits to correct programs and setups: what hands, posts and shops do wrong, and what they may do freely.

#include "../kit.hpp"
#include "oracle.hpp"

#include "base/random.hpp"

#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace faults {

using namespace kerfwright;

/// A job, the same world as the oracle sees it, and where it was edited.
struct Case {
    kit::Job job;
    oracle::World world;
    int line = 0;     ///< 1-based; 0: not in the text
    int more = 0;     ///< lines that were put in after it
    std::string what; ///< for messages
};

inline Case profile_case() {
    Case c{kit::profile_job(), {}, 0, 0, ""};
    c.world.part = {kit::kPart.x0, kit::kPart.y0, kit::kPart.x1, kit::kPart.y1, kit::kPart.r};
    return c;
}

inline void add_clamp(Case& c, double x, double y, double width, double depth, double height) {
    c.job.setup.clamps.push_back({{x, y}, {width, depth}, height});
    c.world.clamps.push_back({{x, y, x + width, y + depth, 0}, c.world.top + height});
}

/// Held by clamps at its rim, and a skin under the slot.
inline Case skin_case() {
    Case c = profile_case();
    c.job.program.at(c.job.program.find("Z-0.200")) = "G1 X35.000 Z0.400";
    c.job.setup.parts[0].skin = c.world.skin = 0.4;
    c.world.floor = 0.4;
    c.job.setup.holds = {shop::Hold::clamps, shop::Hold::skin};
    c.world.held_below = false;
    add_clamp(c, 0, 35, 5, 20, 15);
    add_clamp(c, 115, 35, 5, 20, 15);
    return c;
}

inline Case pocket_case() {
    Case c{kit::pocket_job(), {}, 0, 0, ""};
    c.world.part = {kit::kPart.x0, kit::kPart.y0, kit::kPart.x1, kit::kPart.y1, kit::kPart.r};
    c.world.pocket = true;
    c.world.top = 0;
    c.world.bottom = -12;
    c.world.floor = -4;
    return c;
}

inline Case any_case(Random& random) {
    const std::uint64_t which = random.below(3);
    return which == 0 ? profile_case() : which == 1 ? pocket_case() : skin_case();
}

// ---- helpers on lines -------------------------------------------------------------------------------------------

inline bool is_motion(const std::string& line) {
    return line.rfind("G0", 0) == 0 || line.rfind("G1 ", 0) == 0 || line.rfind("G2 ", 0) == 0;
}

/// A random line that `good` takes; 0 if none does.
inline int pick(Random& random, const kit::Lines& program, const std::function<bool(const std::string&)>& good) {
    std::vector<int> all;
    for (std::size_t i = 0; i < program.lines.size(); ++i)
        if (good(program.lines[i])) all.push_back(static_cast<int>(i) + 1);
    return all.empty() ? 0 : all[random.below(all.size())];
}

struct Word {
    std::size_t at = 0, length = 0;
    char letter = 0;
    double value = 0;
};

inline std::vector<Word> words_of(const std::string& line) {
    std::vector<Word> words;
    for (std::size_t i = 0; i < line.size(); ++i) {
        if (line[i] < 'A' || line[i] > 'Z') continue;
        std::size_t used = 0;
        Word word{i, 0, line[i], std::stod(line.substr(i + 1), &used)};
        word.length = used + 1;
        words.push_back(word);
        i += used;
    }
    return words;
}

inline std::optional<Word> pick_word(Random& random, const std::string& line, const std::string& letters) {
    std::vector<Word> all;
    for (const Word& word : words_of(line))
        if (letters.find(word.letter) != std::string::npos) all.push_back(word);
    if (all.empty()) return std::nullopt;
    return all[random.below(all.size())];
}

inline bool has_word(const std::string& line, const std::string& letters) {
    if (!is_motion(line)) return false;
    for (const Word& word : words_of(line))
        if (letters.find(word.letter) != std::string::npos) return true;
    return false;
}

inline void replace_word(std::string& line, const Word& word, const std::string& by) {
    line.replace(word.at, word.length, by);
}

/// Rewrites the value of one word with one of these letters, on a random line.
inline bool revalue(Random& random, Case& c, const std::string& letters, const std::function<double(double)>& f) {
    c.line = pick(random, c.job.program, [&](const std::string& line) { return has_word(line, letters); });
    if (c.line == 0) return false;
    std::string& line = c.job.program.at(c.line);
    const auto word = pick_word(random, line, letters);
    replace_word(line, *word, fmt::format("{}{}", word->letter, kit::num(f(word->value))));
    return true;
}

/// Rewrites every word with one of these letters.
inline void revalue_all(Case& c, const std::string& letters, const std::function<double(double)>& f) {
    for (std::string& line : c.job.program.lines) {
        if (!is_motion(line)) continue;
        std::string out;
        std::size_t from = 0;
        for (const Word& word : words_of(line)) {
            out += line.substr(from, word.at - from);
            const bool hit = letters.find(word.letter) != std::string::npos;
            out += hit ? fmt::format("{}{}", word.letter, kit::num(f(word.value))) : line.substr(word.at, word.length);
            from = word.at + word.length;
        }
        line = out + line.substr(from);
    }
}

inline void insert(Case& c, int before, const std::string& line) {
    c.job.program.lines.insert(c.job.program.lines.begin() + before - 1, line);
}

inline void set_top(Case& c, double change) {
    c.job.setup.stock.top += change;
    c.world.top += change;
    for (oracle::World::Clamp& clamp : c.world.clamps)
        clamp.top += change;
}

struct Edit {
    std::string name;
    std::function<bool(Case&, Random&)> apply; ///< false: there is nothing to edit in this case
};

std::vector<Edit> harmful_edits();
std::vector<Edit> free_edits();

/// Edits that may do harm: the oracle says which of them do.
inline std::vector<Edit> harmful_edits() {
    const auto any = [](const std::string& line) { return is_motion(line); };
    std::vector<Edit> edits;
    const auto add = [&](std::string name, std::function<bool(Case&, Random&)> apply) {
        edits.push_back({std::move(name), std::move(apply)});
    };
    add("sign of a coordinate", [](Case& c, Random& r) { return revalue(r, c, "XYZ", [](double v) { return -v; }); });
    add("a digit of a coordinate", [](Case& c, Random& r) {
        const double change =
            std::pow(10.0, static_cast<double>(r.below(4)) - 2) * (1 + static_cast<double>(r.below(8)));
        return revalue(r, c, "XYZ", [&](double v) { return r.below(2) ? v + change : v - change; });
    });
    add("decimal point moved", [](Case& c, Random& r) {
        const double by = r.below(2) ? 10 : 0.1;
        return revalue(r, c, "XYZIJ", [&](double v) { return v * by; });
    });
    add("line dropped", [any](Case& c, Random& r) {
        c.line = pick(r, c.job.program, any);
        c.job.program.lines.erase(c.job.program.lines.begin() + c.line - 1);
        return true;
    });
    add("lines swapped", [any](Case& c, Random& r) {
        c.line = pick(r, c.job.program, any);
        std::swap(c.job.program.at(c.line), c.job.program.at(c.line + 1));
        return true;
    });
    add("word dropped", [](Case& c, Random& r) {
        c.line = pick(r, c.job.program, [](const std::string& line) { return has_word(line, "XYZIJF"); });
        std::string& line = c.job.program.at(c.line);
        replace_word(line, *pick_word(r, line, "XYZIJF"), "");
        return true;
    });
    add("X and Y swapped", [](Case& c, Random& r) {
        c.line = pick(r, c.job.program, [](const std::string& line) { return has_word(line, "XY"); });
        for (char& ch : c.job.program.at(c.line))
            ch = ch == 'X' ? 'Y' : ch == 'Y' ? 'X' : ch;
        return true;
    });
    add("G2 for G3", [](Case& c, Random& r) {
        c.line = pick(r, c.job.program, [](const std::string& line) { return line.rfind("G2 ", 0) == 0; });
        c.job.program.at(c.line)[1] = '3';
        return true;
    });
    add("sign of I or J", [](Case& c, Random& r) { return revalue(r, c, "IJ", [](double v) { return -v; }); });
    add("G1 for G0", [](Case& c, Random& r) {
        c.line = pick(r, c.job.program, [](const std::string& line) { return line.rfind("G0", 0) == 0; });
        c.job.program.at(c.line)[1] = '1';
        return true;
    });
    add("G0 for G1", [](Case& c, Random& r) {
        c.line = pick(r, c.job.program, [](const std::string& line) { return line.rfind("G1", 0) == 0; });
        c.job.program.at(c.line)[1] = '0';
        return true;
    });
    add("retract missing", [](Case& c, Random& r) {
        // the last one, and a way across afterwards, as to the next part
        c.line = c.job.program.find("M5") - 1;
        c.job.program.at(c.line) = fmt::format("G0 X{} Y{}", kit::num(r.uniform(0, 120)), kit::num(r.uniform(0, 90)));
        return true;
    });
    add("wrong cutter", [](Case& c, Random& r) {
        const double sizes[] = {3, 3.175, 4, 5, 6.1, 6.35, 8, 10};
        const double size = sizes[r.below(8)];
        c.job.setup.cutters[0].DC = c.job.setup.cutters[0].DCON = size;
        c.world.radius = size / 2;
        return true;
    });
    add("wrong plane", [any](Case& c, Random& r) {
        c.line = pick(r, c.job.program, any);
        insert(c, c.line, r.below(2) ? "G18" : "G19");
        return true;
    });
    add("inches", [any](Case& c, Random& r) {
        c.line = r.below(2) ? c.job.program.find("G21") : pick(r, c.job.program, any);
        if (c.job.program.at(c.line).rfind("G21", 0) == 0)
            c.job.program.at(c.line).replace(0, 3, "G20");
        else
            insert(c, c.line, "G20");
        return true;
    });
    add("G91 left on", [any](Case& c, Random& r) {
        c.line = pick(r, c.job.program, any);
        insert(c, c.line, "G91");
        return true;
    });
    add("spindle not started", [](Case& c, Random& r) {
        c.line = c.job.program.find("M3");
        const char* by[] = {"S18000", "M3", "", "S0 M3"};
        c.job.program.at(c.line) = by[r.below(4)];
        return true;
    });
    add("spindle backwards", [](Case& c, Random&) {
        c.line = c.job.program.find("M3");
        c.job.program.at(c.line) = "S18000 M4";
        return true;
    });
    add("spindle stopped midway", [any](Case& c, Random& r) {
        c.line = pick(r, c.job.program, any);
        insert(c, c.line, "M5");
        return true;
    });
    add("speed wrong", [](Case& c, Random& r) {
        c.line = c.job.program.find("M3");
        const int speeds[] = {180, 1800, 5000, 25000, 30000, 180000};
        c.job.program.at(c.line) = fmt::format("S{} M3", speeds[r.below(6)]);
        return true;
    });
    add("feed times ten", [](Case& c, Random& r) { return revalue(r, c, "F", [](double v) { return v * 10; }); });
    add("feed inserted", [any](Case& c, Random& r) {
        c.line = pick(r, c.job.program, any);
        const double feeds[] = {0, 100, 1300, 1500, 2500, 6000};
        insert(c, c.line, fmt::format("F{}", feeds[r.below(6)]));
        return true;
    });
    add("no feed at all", [](Case& c, Random&) {
        for (std::string& line : c.job.program.lines)
            if (const auto at = line.find(" F"); at != std::string::npos) line.erase(at);
        return true;
    });
    add("clamp moved", [](Case& c, Random& r) {
        add_clamp(c, r.uniform(0, 105), r.uniform(0, 75), 15, 15, r.uniform(5, 40));
        return true;
    });
    add("stock thicker or thinner", [](Case& c, Random& r) {
        const double change[] = {-2, -1, -0.1, 0.1, 0.4, 1.5, 3, 6};
        set_top(c, change[r.below(8)]);
        if (c.world.pocket) { // its zero is on top: the underside moves instead
            const double by = c.world.top;
            set_top(c, -by);
            c.job.setup.stock.bottom -= by;
            c.world.bottom -= by;
        }
        return true;
    });
    add("zero off in X or Y", [](Case& c, Random& r) {
        const double by = r.below(2) ? r.uniform(-1.5, 1.5) : (r.below(2) ? 1 : -1);
        revalue_all(c, r.below(2) ? "X" : "Y", [&](double v) { return v + by; });
        return true;
    });
    add("zero off in Z", [](Case& c, Random& r) {
        const double by = r.uniform(-1.5, 1.5);
        revalue_all(c, "Z", [&](double v) { return v + by; });
        return true;
    });
    add("too deep", [](Case& c, Random& r) {
        const double by = r.uniform(0.1, 2);
        return revalue(r, c, "Z", [&](double v) { return v - by; });
    });
    add("too shallow", [](Case& c, Random& r) {
        const double by = r.uniform(0.1, 2);
        return revalue(r, c, "Z", [&](double v) { return v + by; });
    });
    add("block doubled", [any](Case& c, Random& r) {
        const int from = pick(r, c.job.program, any);
        const int count = 2 + static_cast<int>(r.below(6));
        auto& lines = c.job.program.lines;
        const int last = std::min(from + count, c.job.program.find("M5"));
        const std::vector<std::string> block(lines.begin() + from - 1, lines.begin() + last - 1);
        c.line = pick(r, c.job.program, any);
        lines.insert(lines.begin() + c.line - 1, block.begin(), block.end());
        c.more = static_cast<int>(block.size());
        return true;
    });
    add("file cut short", [any](Case& c, Random& r) {
        c.line = pick(r, c.job.program, any);
        c.job.program.lines.resize(static_cast<std::size_t>(c.line));
        return true;
    });
    add("noise in a line", [any](Case& c, Random& r) {
        c.line = pick(r, c.job.program, any);
        const char* noise[] = {"(", ")", "G1.", "X1 X2", "Q", "G7", "#", "?"};
        c.job.program.at(c.line) += std::string(" ") + noise[r.below(8)];
        return true;
    });
    add("cutter pushed in", [](Case& c, Random& r) {
        const double protrusion = r.uniform(3, 14);
        c.job.setup.cutters[0].LPR = c.world.protrusion = protrusion;
        c.job.setup.cutters[0].APMX = c.world.flute = std::min(20.0, protrusion);
        return true;
    });
    add("short flutes", [](Case& c, Random& r) {
        c.job.setup.cutters[0].APMX = c.world.flute = r.uniform(1, 8);
        return true;
    });
    add("cutter that cannot plunge", [](Case& c, Random& r) {
        c.job.setup.cutters[0].centre_cutting = c.world.centre_cutting = false;
        c.job.setup.cutters[0].max_ramp = 15;
        if (c.world.pocket || r.below(2)) return true;
        c.line = c.job.program.find("G1 Z6");
        c.job.program.at(c.line) = "G1 Z4 F1200";
        return true;
    });
    add("smaller machine", [](Case& c, Random& r) {
        const int axis = static_cast<int>(r.below(3));
        const double travel = axis == 2 ? r.uniform(5, 30) : r.uniform(40, 130);
        c.job.setup.machine.axes[static_cast<std::size_t>(axis)].travel = travel;
        (axis == 0 ? c.world.travel_x : axis == 1 ? c.world.travel_y : c.world.travel_z) = travel;
        return true;
    });
    return edits;
}

/// Edits that change nothing: none may make a finding.
inline std::vector<Edit> free_edits() {
    std::vector<Edit> edits;
    const auto add = [&](std::string name, std::function<bool(Case&, Random&)> apply) {
        edits.push_back({std::move(name), std::move(apply)});
    };
    add("comments", [](Case& c, Random& r) {
        for (std::string& line : c.job.program.lines)
            if (r.below(3) == 0) line = r.below(2) ? line + " (G20 G91 M5 X-999)" : "(G0 Z-50)" + line;
        return true;
    });
    add("spacing and case", [](Case& c, Random& r) {
        for (std::string& line : c.job.program.lines) {
            if (!is_motion(line)) continue;
            std::string out;
            for (const char ch : line) {
                if (ch == ' ' && r.below(2)) continue;
                out += r.below(4) ? static_cast<char>(std::tolower(ch)) : ch;
                if (r.below(8) == 0) out += "\t ";
            }
            line = out + (r.below(2) ? "\r" : "");
        }
        return true;
    });
    add("words in another order", [](Case& c, Random& r) {
        for (std::string& line : c.job.program.lines) {
            if (!is_motion(line)) continue;
            std::vector<std::string> words;
            for (const Word& word : words_of(line))
                words.push_back(line.substr(word.at, word.length));
            for (std::size_t i = words.size(); i > 1; --i)
                std::swap(words[i - 1], words[r.below(i)]);
            line.clear();
            for (const std::string& word : words)
                line += word + " ";
        }
        return true;
    });
    add("line numbers", [](Case& c, Random&) {
        int n = 0;
        for (std::string& line : c.job.program.lines)
            line = fmt::format("N{} {}", n += 10, line);
        return true;
    });
    add("arcs by radius", [](Case& c, Random&) {
        for (std::string& line : c.job.program.lines)
            if (line.rfind("G2 ", 0) == 0) {
                const auto words = words_of(line);
                const double radius = std::hypot(words[3].value, words[4].value);
                line = line.substr(0, words[3].at) + fmt::format("R{}", kit::num(radius));
            }
        return true;
    });
    add("a line in two", [](Case& c, Random& r) {
        c.line = pick(r, c.job.program, [](const std::string& line) { return line.rfind("G1 Y", 0) == 0; });
        if (c.line < 2) return false;
        // a straight cut along Y, stopped halfway: the way stays the same
        const auto words = words_of(c.job.program.at(c.line));
        const auto before = words_of(c.job.program.at(c.line - 1));
        const auto y = std::find_if(before.begin(), before.end(), [](const Word& w) { return w.letter == 'Y'; });
        if (y == before.end() || words[1].letter != 'Y') return false;
        insert(c, c.line, fmt::format("G1 Y{}", kit::num((y->value + words[1].value) / 2)));
        return true;
    });
    add("modal words said again", [](Case& c, Random& r) {
        for (std::string& line : c.job.program.lines)
            if (is_motion(line) && r.below(3) == 0) line += " G90 G17";
        return true;
    });
    add("modal words left out", [](Case& c, Random&) {
        std::string last;
        for (std::string& line : c.job.program.lines) {
            if (!is_motion(line)) continue;
            const std::string code = line.substr(0, 2);
            if (code == last && code != "G2") line = line.substr(3);
            last = code;
        }
        return true;
    });
    add("slower", [](Case& c, Random& r) { return revalue(r, c, "F", [](double v) { return v * 0.8; }); });
    add("higher retract", [](Case& c, Random& r) {
        c.line = pick(r, c.job.program, [](const std::string& line) { return line.rfind("G0 Z", 0) == 0; });
        c.job.program.at(c.line) = "G0 Z15";
        return true;
    });
    add("blank lines and percent", [](Case& c, Random& r) {
        for (int i = 0; i < 5; ++i)
            insert(c, 2 + static_cast<int>(r.below(c.job.program.lines.size() - 2)), "");
        c.job.program.lines.insert(c.job.program.lines.begin(), "%");
        c.job.program.add("%");
        return true;
    });
    add("the whole program incremental", [](Case& c, Random&) {
        double at[3] = {0, 0, c.world.top + c.world.clearance};
        for (const oracle::World::Clamp& clamp : c.world.clamps)
            at[2] = std::max(at[2], clamp.top + c.world.clearance);
        insert(c, 4, "G91");
        for (std::string& line : c.job.program.lines) {
            if (!is_motion(line) || line.rfind("G21", 0) == 0) continue;
            std::string out;
            for (const Word& word : words_of(line)) {
                const auto axis = std::string("XYZ").find(word.letter);
                if (axis == std::string::npos) {
                    out += line.substr(word.at, word.length) + " ";
                    continue;
                }
                out += fmt::format("{}{} ", word.letter, kit::num(word.value - at[axis]));
                at[axis] = word.value;
            }
            line = out;
        }
        return true;
    });
    return edits;
}

} // namespace faults
