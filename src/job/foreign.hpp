#pragma once
// A setup for programs that no plan made: stock, cutters and clamps as a person gives them on the command line.

#include "base/result.hpp"
#include "proof/proof.hpp"
#include "shop/library.hpp"

#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace kerfwright::job {

struct ForeignWish {
    std::string stock;                  ///< "300x200x12 mm": along X, along Y, thickness
    std::string material;               ///< "": loads and feeds are not judged
    std::string cutters;                ///< "1=flat-6,2=flat-3"
    std::string machine = "gantry-600"; ///< a shipped name, or a file with one [[machine]]
    std::string zero = "bed";           ///< where Z zero is: "bed" or "top" (of the stock)
    std::vector<std::string> clamps;    ///< "0,150,60x40x25 mm": corner, size along X and Y, height above the stock
    std::vector<std::string> holds;     ///< "tape", "vacuum", ...
};

struct ForeignSetup {
    proof::SetupToProve setup;      ///< without parts: what is asked for is not known
    std::vector<std::string> notes; ///< what cannot be judged, and why
};

/// A program to prove: its name and its text.
struct GivenText {
    std::string file, text;
};

/// "1=flat-6, 2=flat-3": tool numbers (0 to 99,999) and names of the library's cutters.
[[nodiscard]] Result<std::map<int, std::string>> tools_from(std::string_view list, const shop::Library& library);

/// The programs with the cutter in the spindle at the start of each: the tool that its T word names before its first
/// move, else the one in its place of `in_order`, else the only tool there is. Fails when none of these names one.
[[nodiscard]] Result<std::vector<proof::ProgramText>> with_cutters(const std::vector<GivenText>& programs,
                                                                   const std::map<int, std::string>& tools,
                                                                   const std::vector<std::string>& in_order);

/// X, Y zero is the lower left corner of the stock.
[[nodiscard]] Result<ForeignSetup> foreign_setup(const ForeignWish& wish, const std::vector<GivenText>& programs,
                                                 const shop::Library& library);

} // namespace kerfwright::job
