#pragma once
// Results of stages with the input they came from: a stage whose input has not changed is not run again. Whoever plans
// the same job again and again (the page) keeps one of these; its results are the same as without.

#include "job/make_plan.hpp"
#include "job/plan.hpp"
#include "job/setups.hpp"
#include "layout/layout.hpp"

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace kerfwright::job {

/// One result, and the whole input as text: compared exactly, so that nothing stale is ever taken for new.
template <class T>
struct Kept {
    std::string input;
    T result;
};

/// What building a setup changes in its pieces.
struct PieceHolding {
    double skin = 0, margin = 0;
    std::vector<holding::Tab> tabs;
};
struct PieceSetup {
    BuiltSetup built;
    std::vector<PieceHolding> pieces; ///< in the order given
};
struct TraySetup {
    PlannedTray tray;
    BuiltSetup built;
};

struct KeptStages {
    std::optional<Kept<FitStage>> fit;
    std::optional<Kept<layout::Layout>> layout;
    std::map<std::string, Kept<PieceSetup>> setups; ///< by sheet
    std::optional<Kept<TraySetup>> tray;
    std::optional<Kept<Assembly>> assembly;
    std::map<std::string, Kept<proof::SetupProof>> proofs; ///< by setup
};

/// The kept result when its input is `input`, else what `make` gives, kept from now on.
template <class T, class Make>
Result<T> kept_or_made(std::optional<Kept<T>>& kept, std::string input, const Make& make) {
    if (kept && kept->input == input) return kept->result;
    Result<T> made = make();
    if (made) kept = Kept<T>{std::move(input), made.value()};
    return made;
}

/// What planning fails with when it was asked to stop.
[[nodiscard]] Problem stopped();

// What each stage depends on, as text.

[[nodiscard]] std::string fit_input(const Job& job, const drawing::Drawing& drawing);
[[nodiscard]] std::string layout_input(const Job& job, const std::vector<PlannedPiece>& pieces);
/// The piece's sheet, the pieces on it, their seams, the cutters and the machine.
[[nodiscard]] std::string setup_input(const Job& job, const shop::Sheet& sheet,
                                      const std::vector<PlannedPiece*>& pieces, const std::vector<PlannedSeam>& seams);
[[nodiscard]] std::string tray_input(const Job& job, const FitStage& fit, const std::vector<PlannedPiece>& pieces);
[[nodiscard]] std::string assembly_input(const Job& job, const Plan& plan);
/// One setup's programs, stock and asked-for shapes.
[[nodiscard]] std::string proof_input(const Plan& plan, const PlannedSetup& setup);

} // namespace kerfwright::job
