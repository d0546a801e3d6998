#pragma once
// From a job and its drawing to the whole plan: fit, layout, feeds, holding, toolpaths, programs, price.

#include "job/job_file.hpp"
#include "job/plan.hpp"
#include "proof/proof.hpp"

#include <functional>
#include <string>

namespace kerfwright::job {

struct PlanOptions {
    int threads = 0;
    /// Told the name of each stage as it begins; may be empty.
    std::function<void(const std::string& stage)> progress;
};

/// Pieces and tray as they will be cut, with the cutters that cut them.
struct FitStage {
    std::vector<PlannedPiece> pieces; ///< sheet, setup and placement still empty
    plane::Shape wall, wall_as_cut;
    std::vector<PlannedSeam> seams;
    std::vector<std::string> notes;
};
[[nodiscard]] Result<FitStage> fit_stage(const Job& job, const drawing::Drawing& drawing, int threads);

/// The whole plan, programs' texts included.
[[nodiscard]] Result<Plan> make_plan(const Job& job, const drawing::Drawing& drawing, const PlanOptions& options);

/// All setups judged from their programs' texts.
struct Proof {
    std::vector<proof::SetupProof> setups;
    [[nodiscard]] bool proven() const;
};
/// One setup as the proof sees it, from the plan's values and texts alone.
[[nodiscard]] proof::SetupToProve setup_to_prove(const Plan& plan, const PlannedSetup& setup);
[[nodiscard]] Proof prove_plan(const Plan& plan, int threads);
/// The proof as `kerfwright prove OUT` will make it: from plan.json's text and the programs' texts.
[[nodiscard]] Result<Proof> prove_as_written(const Plan& plan, int threads);
[[nodiscard]] std::string to_json(const Proof& proof);

} // namespace kerfwright::job
