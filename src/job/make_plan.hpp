#pragma once
// From a job and its drawing to the whole plan: fit, layout, feeds, holding, toolpaths, programs, price.

#include "job/job_file.hpp"
#include "job/plan.hpp"
#include "proof/proof.hpp"

#include <functional>
#include <optional>
#include <stop_token>
#include <string>

namespace kerfwright::job {

struct KeptStages;

/// The stages in their order, by the names that progress tells: those of make_plan, then "proof" and "papers".
[[nodiscard]] const std::vector<std::string>& stage_names();

struct PlanOptions {
    int threads = 0;
    /// Told the name of each stage as it begins, and whether its result is kept from last time; may be empty.
    std::function<void(const std::string& stage, bool kept)> progress = {};
    /// Asked between stages and setups. When it says stop, planning fails with a Problem that says so.
    std::stop_token stop = {};
    /// Results of earlier plans to take and to add to (kept_stages.hpp); may be null.
    KeptStages* kept = nullptr;
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

/// One piece again, the same outline for the same mates, from a sheet of the job.
struct RecutWish {
    std::string piece, sheet;
};
/// A plan of that piece alone: no tray, and no assembly (its `samples` are 0): the mates are cut already.
[[nodiscard]] Result<Plan> make_recut(const Job& job, const drawing::Drawing& drawing, const RecutWish& wish,
                                      const PlanOptions& options);

/// The set as the programs' texts leave it, put together.
struct AsCutAssembly {
    static constexpr double kAgrees = 0.02; ///< mm
    double slack = 0, planned = 0;          ///< mm
    [[nodiscard]] bool agrees() const { return slack - planned <= kAgrees && planned - slack <= kAgrees; }
    [[nodiscard]] bool goes_together() const { return slack > 0; }
};

/// All setups judged from their programs' texts.
struct Proof {
    std::vector<proof::SetupProof> setups;
    std::optional<AsCutAssembly> assembly; ///< where every piece and the tray are among the setups
    std::vector<std::string> notes;
    [[nodiscard]] bool proven() const; ///< no findings
};
/// One setup as the proof sees it, from the plan's values and texts alone.
[[nodiscard]] proof::SetupToProve setup_to_prove(const Plan& plan, const PlannedSetup& setup);
[[nodiscard]] Proof prove_plan(const Plan& plan, int threads);
/// The proof as `kerfwright prove OUT` will make it: from plan.json's text and the programs' texts.
[[nodiscard]] Result<Proof> prove_as_written(const Plan& plan, const PlanOptions& options);
[[nodiscard]] std::string to_json(const Proof& proof);

} // namespace kerfwright::job
