#include "page/planner.hpp"

#include "job/output.hpp"

#include <malloc.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <chrono>

namespace kerfwright::page {
namespace fs = std::filesystem;
namespace {

using Clock = std::chrono::steady_clock;

fs::path output_folder(const Opened& opened) {
    return opened.file.parent_path() / "out";
}

double seconds_since(Clock::time_point begin) {
    return std::chrono::duration<double>(Clock::now() - begin).count();
}

/// Files of an output folder, as they stand there now. Others than ours are left alone.
std::vector<job::OutputFile> files_in(const fs::path& folder) {
    constexpr std::size_t kMostFiles = 10'000;
    std::vector<std::string> names;
    std::error_code error;
    for (auto it = fs::recursive_directory_iterator(folder, error); !error && it != fs::recursive_directory_iterator();
         it.increment(error))
        if (it->is_regular_file(error) && names.size() < kMostFiles)
            names.push_back(fs::relative(it->path(), folder, error).generic_string());
    std::sort(names.begin(), names.end());
    std::vector<job::OutputFile> files;
    for (const std::string& name : names)
        if (auto bytes = job::read_file(folder / name)) files.push_back({name, std::move(bytes).value()});
    return files;
}

std::string verdict_in(const std::vector<job::OutputFile>& files) {
    for (const job::OutputFile& file : files) {
        if (file.path != "proof.json") continue;
        const auto proof = nlohmann::json::parse(file.bytes, nullptr, false);
        if (proof.is_object() && proof.value("verdict", nlohmann::json()) == "proven") return "proven";
    }
    return "findings";
}

} // namespace

const char* to_string(StageProgress::State state) {
    switch (state) {
    case StageProgress::State::waiting:
        return "waiting";
    case StageProgress::State::running:
        return "running";
    case StageProgress::State::done:
        return "done";
    case StageProgress::State::kept:
        return "kept";
    }
    return "";
}

const char* to_string(Planner::State state) {
    switch (state) {
    case Planner::State::none:
        return "none";
    case Planner::State::running:
        return "running";
    case Planner::State::done:
        return "done";
    case Planner::State::failed:
        return "failed";
    case Planner::State::stopped:
        return "stopped";
    }
    return "";
}

/// One plan on its way. All but `opened` and `stop` is guarded by the planner's mutex.
struct Planner::Run {
    OpenedPtr opened;
    std::stop_source stop;
    State state = State::running;
    std::optional<Problem> problem;
    std::vector<StageProgress> stages;
    Clock::time_point stage_began;
    bool stage_kept = false; ///< of the stage that runs
};

Planner::Planner(int threads) : threads_(threads), thread_([this](const std::stop_token& ending) { work(ending); }) {}

Planner::~Planner() {
    stop();
    thread_.request_stop();
    changed_.notify_all();
}

void Planner::start(OpenedPtr opened) {
    auto run = std::make_shared<Run>();
    run->opened = std::move(opened);
    for (const std::string& name : job::stage_names())
        run->stages.push_back({name, StageProgress::State::waiting, 0});
    const std::lock_guard lock(mutex_);
    if (run_) run_->stop.request_stop();
    run_ = run;
    waiting_ = run;
    changed_.notify_all();
}

void Planner::stop() {
    const std::lock_guard lock(mutex_);
    if (!run_ || run_->state != State::running) return;
    run_->stop.request_stop();
    run_->state = State::stopped;
    waiting_.reset();
}

void Planner::look_at_disk(const Opened& opened) {
    stop();
    const fs::path folder = output_folder(opened);
    std::shared_ptr<PlanAtHand> found;
    if (auto plan = job::read_output(folder)) {
        found = std::make_shared<PlanAtHand>();
        found->plan = std::move(plan).value();
        found->of = found->plan.job_revision;
        found->files = files_in(folder);
        found->verdict = verdict_in(found->files);
    }
    const std::lock_guard lock(mutex_);
    run_.reset();
    if (found) found->serial = ++serial_;
    at_hand_ = std::move(found);
}

Planner::Standing Planner::standing() const {
    const std::lock_guard lock(mutex_);
    Standing standing;
    if (run_) {
        standing.state = run_->state;
        standing.problem = run_->problem;
        standing.stages = run_->stages;
        for (StageProgress& stage : standing.stages)
            if (stage.state == StageProgress::State::running) stage.seconds = seconds_since(run_->stage_began);
    } else if (at_hand_) {
        standing.state = State::done;
    }
    standing.serial = serial_;
    if (at_hand_) {
        standing.of = at_hand_->of;
        standing.verdict = at_hand_->verdict;
    }
    return standing;
}

PlanPtr Planner::at_hand() const {
    const std::lock_guard lock(mutex_);
    return at_hand_;
}

void Planner::begin_stage(Run& run, const std::string& name, bool kept) {
    const std::lock_guard lock(mutex_);
    end_stage(run);
    auto stage = std::find_if(run.stages.begin(), run.stages.end(), [&](const auto& s) { return s.name == name; });
    if (stage == run.stages.end()) stage = run.stages.insert(run.stages.end(), {name, {}, 0});
    stage->state = StageProgress::State::running;
    run.stage_kept = kept;
    run.stage_began = Clock::now();
}

void Planner::end_stage(Run& run) {
    for (StageProgress& stage : run.stages) {
        if (stage.state != StageProgress::State::running) continue;
        stage.state = run.stage_kept ? StageProgress::State::kept : StageProgress::State::done;
        stage.seconds = seconds_since(run.stage_began);
    }
}

Result<std::shared_ptr<PlanAtHand>> Planner::make(Run& run) {
    const job::Job& job = *run.opened->job;
    if (auto allowed = job::may_replace(output_folder(*run.opened)); !allowed) return allowed.problem();
    job::PlanOptions options;
    options.threads = threads_;
    options.progress = [&](const std::string& stage, bool kept) { begin_stage(run, stage, kept); };
    options.stop = run.stop.get_token();
    options.kept = &kept_;
    auto plan = job::make_plan(job, *run.opened->drawing, options);
    if (!plan) return plan.problem();
    auto proof = job::prove_as_written(plan.value(), options);
    if (!proof) return proof.problem();
    begin_stage(run, "papers", false);
    auto files = job::output_files(job, plan.value(), proof.value());
    if (!files) return files.problem();
    if (options.stop.stop_requested()) return job::stopped();
    if (auto written = job::replace_folder(output_folder(*run.opened), files.value()); !written)
        return written.problem();
    auto made = std::make_shared<PlanAtHand>();
    made->of = run.opened->revision;
    made->verdict = proof.value().proven() ? "proven" : "findings";
    made->plan = std::move(plan).value();
    made->proof = std::move(proof).value();
    made->files = std::move(files).value();
    return made;
}

void Planner::execute(Run& run) {
    State state = State::failed;
    std::optional<Problem> problem;
    std::shared_ptr<PlanAtHand> made;
    try {
        auto result = make(run);
        if (result) {
            state = State::done;
            made = std::move(result).value();
        } else if (run.stop.stop_requested()) {
            state = State::stopped;
        } else {
            problem = result.problem();
        }
    } catch (const std::exception& error) {
        problem = Problem{"", 0, 0, std::string("a fault of ours: ") + error.what(),
                          "please report it with the job and its drawing"};
    }
    const std::lock_guard lock(mutex_);
    end_stage(run);
    if (state == State::done) // a set without a tray has no such stage
        std::erase_if(run.stages, [](const auto& stage) { return stage.state == StageProgress::State::waiting; });
    run.problem = std::move(problem);
    run.state = state;
    // What was written for a job that is no longer the one open stays on disk, but is not at hand.
    if (made && run_.get() == &run) {
        made->serial = ++serial_;
        at_hand_ = std::move(made);
    }
}

void Planner::work(const std::stop_token& ending) {
    while (true) {
        std::shared_ptr<Run> run;
        {
            std::unique_lock lock(mutex_);
            if (!changed_.wait(lock, ending, [&] { return waiting_ != nullptr; })) return;
            run = std::move(waiting_);
            waiting_.reset();
        }
        execute(*run);
        run.reset();
        ::malloc_trim(0); // a plan's many small values leave holes: give the memory back, so that it stays flat
    }
}

} // namespace kerfwright::page
