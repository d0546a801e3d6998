#include "page/session.hpp"

#include "job/files.hpp"

#include <fmt/format.h>

#include <cstdint>
#include <tuple>

namespace kerfwright::page {
namespace fs = std::filesystem;
namespace {

constexpr std::size_t kLargestJob = 4u << 20; // as job::load_job
constexpr std::size_t kMostSteps = 500;
constexpr std::size_t kMostStepBytes = 16u << 20;

Result<std::string> read_beside(const Opened& opened, const std::string& name) {
    return job::read_file(opened.file.parent_path() / name, kLargestJob);
}

auto reading_of(const job::Job& job) {
    const drawing::ReadOptions& r = job.read;
    return std::tuple(job.drawing_file, r.width, r.scale, r.region, r.snap, r.projection);
}

/// What a changed file does not keep: its size and the time of its last change; "" for one that is not there.
std::string stamp_of(const fs::path& file) {
    std::error_code error;
    const auto size = fs::file_size(file, error);
    const auto time = fs::last_write_time(file, error);
    return error ? "" : fmt::format("{} {}", size, time.time_since_epoch().count());
}

fs::path drawing_file(const Opened& opened) {
    return opened.file.parent_path() / opened.job->drawing_file;
}

/// Reads text and drawing. The drawing of `before` is kept when both ask for the same one.
OpenedPtr read_all(const fs::path& file, std::string text, const Opened* before) {
    auto opened = std::make_shared<Opened>();
    opened->file = file;
    opened->revision = job::revision_of(text);
    opened->text = std::move(text);
    auto job =
        job::read_job(opened->text, file.string(), [&](const std::string& name) { return read_beside(*opened, name); });
    if (!job) {
        opened->problem = job.problem();
        return opened;
    }
    opened->job = std::make_shared<const job::Job>(std::move(job).value());
    if (before != nullptr && before->drawing && before->job && reading_of(*before->job) == reading_of(*opened->job)) {
        opened->drawing = before->drawing;
        opened->drawing_stamp = before->drawing_stamp;
        return opened;
    }
    opened->drawing_stamp = stamp_of(drawing_file(*opened));
    auto drawing = job::load_drawing(*opened->job);
    if (drawing)
        opened->drawing = std::make_shared<const drawing::Drawing>(std::move(drawing).value());
    else
        opened->drawing_problem = drawing.problem();
    return opened;
}

Refusal nothing_open() {
    return {404, {"", 0, 0, "no job is open", "drop a drawing, or start with `kerfwright page JOB`"}};
}

Refusal changed_on_disk(const fs::path& file) {
    return {409,
            {file.string(), 0, 0, "was changed by somebody else since it was read; nothing was written",
             "reload it, then make the change again"}};
}

} // namespace

OpenedPtr Session::opened() const {
    const std::lock_guard lock(mutex_);
    return opened_;
}

Session::Marks Session::marks() const {
    const std::lock_guard lock(mutex_);
    Marks marks;
    if (!opened_) return marks;
    const auto bytes = job::read_file(opened_->file, kLargestJob);
    marks.changed_on_disk = !bytes || bytes.value() != on_disk_ ||
                            (opened_->job && stamp_of(drawing_file(*opened_)) != opened_->drawing_stamp);
    if (done_ > 0) marks.undo = steps_[done_ - 1].label;
    if (done_ < steps_.size()) marks.redo = steps_[done_].label;
    return marks;
}

Outcome Session::open(const fs::path& file) {
    std::error_code error;
    const fs::path real = fs::canonical(file, error);
    auto text = job::read_file(error ? file : real, kLargestJob);
    if (!text) return Refusal{400, text.problem()};
    OpenedPtr opened = read_all(real, std::move(text).value(), nullptr);
    const std::lock_guard lock(mutex_);
    opened_ = std::move(opened);
    on_disk_ = opened_->text;
    steps_.clear();
    done_ = 0;
    return opened_;
}

std::optional<Refusal> Session::fault_of(const std::string& revision) const {
    if (!opened_) return nothing_open();
    if (revision != opened_->revision)
        return Refusal{409,
                       {opened_->file.string(), 0, 0, "the job was changed meanwhile, perhaps in another window",
                        "look at it as it is now, then make the change again"}};
    return std::nullopt;
}

Outcome Session::write(const std::string& text) {
    OpenedPtr next = read_all(opened_->file, text, opened_.get());
    if (next->problem) return Refusal{400, *next->problem};
    const auto bytes = job::read_file(opened_->file, kLargestJob);
    if (!bytes || bytes.value() != on_disk_) return changed_on_disk(opened_->file);
    if (auto written = job::replace_file(opened_->file, text); !written) return Refusal{500, written.problem()};
    on_disk_ = text;
    opened_ = std::move(next);
    return opened_;
}

void Session::remember(Step step) {
    steps_.resize(done_);
    steps_.push_back(std::move(step));
    std::size_t bytes = 0, kept = 0;
    while (kept < steps_.size() && kept < kMostSteps) {
        const Step& older = steps_[steps_.size() - 1 - kept];
        bytes += older.before.size() + older.after.size();
        if (kept > 0 && bytes > kMostStepBytes) break;
        ++kept;
    }
    steps_.erase(steps_.begin(), steps_.end() - static_cast<std::ptrdiff_t>(kept));
    done_ = steps_.size();
}

Outcome Session::change(const std::string& revision, const std::string& label,
                        const std::function<Result<std::string>(const Opened&)>& edited) {
    const std::lock_guard lock(mutex_);
    if (auto fault = fault_of(revision)) return *fault;
    auto text = edited(*opened_);
    if (!text) return Refusal{400, text.problem()};
    if (text.value().size() > kLargestJob)
        return Refusal{400, {opened_->file.string(), 0, 0, "would grow beyond 4 MB", "shorten it"}};
    std::string before = opened_->text;
    Outcome outcome = write(text.value());
    if (std::holds_alternative<OpenedPtr>(outcome) && text.value() != before)
        remember({label, std::move(before), std::move(text).value()});
    return outcome;
}

Outcome Session::undo(const std::string& revision) {
    const std::lock_guard lock(mutex_);
    if (auto fault = fault_of(revision)) return *fault;
    if (done_ == 0) return Refusal{400, {"", 0, 0, "there is nothing to undo", ""}};
    Outcome outcome = write(steps_[done_ - 1].before);
    if (std::holds_alternative<OpenedPtr>(outcome)) --done_;
    return outcome;
}

Outcome Session::redo(const std::string& revision) {
    const std::lock_guard lock(mutex_);
    if (auto fault = fault_of(revision)) return *fault;
    if (done_ == steps_.size()) return Refusal{400, {"", 0, 0, "there is nothing to redo", ""}};
    Outcome outcome = write(steps_[done_].after);
    if (std::holds_alternative<OpenedPtr>(outcome)) ++done_;
    return outcome;
}

Outcome Session::reload() {
    const std::lock_guard lock(mutex_);
    if (!opened_) return nothing_open();
    auto text = job::read_file(opened_->file, kLargestJob);
    if (!text) return Refusal{400, text.problem()};
    // The drawing is read again too: it may be what was changed.
    std::string before = opened_->text;
    opened_ = read_all(opened_->file, text.value(), nullptr);
    on_disk_ = opened_->text;
    if (before != opened_->text) remember({"changes made elsewhere", std::move(before), opened_->text});
    return opened_;
}

} // namespace kerfwright::page
