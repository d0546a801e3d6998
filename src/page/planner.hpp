#pragma once
// Plans in the background, one at a time. Who asks gets what stands at that moment and never waits.

#include "job/files.hpp"
#include "job/kept_stages.hpp"
#include "page/session.hpp"

#include <condition_variable>
#include <cstdint>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

namespace kerfwright::page {

/// A plan with all that was written for it. Never changed after it was made.
struct PlanAtHand {
    std::uint64_t serial = 0; ///< grows with every plan at hand
    std::string of;           ///< revision of the job it was made from
    std::string verdict;      ///< "proven", "findings"
    job::Plan plan;
    std::optional<job::Proof> proof;    ///< empty when found on disk
    std::vector<job::OutputFile> files; ///< of the output folder
};
using PlanPtr = std::shared_ptr<const PlanAtHand>;

struct StageProgress {
    std::string name;
    enum class State { waiting, running, done, kept } state = State::waiting;
    double seconds = 0;
};
[[nodiscard]] const char* to_string(StageProgress::State state);

class Planner {
  public:
    explicit Planner(int threads);
    ~Planner(); ///< stops what runs and waits for it
    Planner(const Planner&) = delete;
    Planner& operator=(const Planner&) = delete;

    /// Plans this job and writes its output folder; what runs is stopped first. REQUIRES: a job and a drawing.
    void start(OpenedPtr opened);
    /// Ends what runs at its next stage; nothing is written.
    void stop();
    /// Forgets the plan at hand and takes what lies in the output folder beside the job, if anything.
    void look_at_disk(const Opened& opened);

    enum class State { none, running, done, failed, stopped };
    struct Standing {
        State state = State::none;
        std::uint64_t serial = 0;
        std::string of, verdict;
        std::optional<Problem> problem;
        std::vector<StageProgress> stages;
    };
    [[nodiscard]] Standing standing() const;
    [[nodiscard]] PlanPtr at_hand() const; ///< null when there is none

  private:
    struct Run;
    void work(const std::stop_token& ending);
    void execute(Run& run);
    [[nodiscard]] Result<std::shared_ptr<PlanAtHand>> make(Run& run);
    void begin_stage(Run& run, const std::string& name, bool kept);
    static void end_stage(Run& run);

    const int threads_;
    job::KeptStages kept_; ///< of the background thread alone
    mutable std::mutex mutex_;
    std::condition_variable_any changed_;
    std::shared_ptr<Run> run_;     ///< the latest asked for; what it says is what `standing` tells
    std::shared_ptr<Run> waiting_; ///< not begun yet
    PlanPtr at_hand_;
    std::uint64_t serial_ = 0;
    std::jthread thread_; ///< last: it uses all of the above
};
[[nodiscard]] const char* to_string(Planner::State state);

} // namespace kerfwright::page
