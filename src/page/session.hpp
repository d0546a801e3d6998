#pragma once
// The job that is open: its text as it stands, what was read from it, and the way back through its changes.

#include "drawing/drawing.hpp"
#include "job/job_file.hpp"

#include <filesystem>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <variant>
#include <vector>

namespace kerfwright::page {

/// A job at one moment. Never changed after it was made, so any thread may hold it as long as it likes.
struct Opened {
    std::filesystem::path file; ///< job.toml, with its links resolved
    std::string text;
    std::string revision;                            ///< job::revision_of the text
    std::shared_ptr<const job::Job> job;             ///< null: see `problem`
    std::optional<Problem> problem;                  ///< what read_job says against the text
    std::shared_ptr<const drawing::Drawing> drawing; ///< null: see `drawing_problem`
    std::optional<Problem> drawing_problem;
    std::string drawing_stamp; ///< size and time of its file when it was read
};
using OpenedPtr = std::shared_ptr<const Opened>;

/// Why something was not done.
struct Refusal {
    int status = 400; ///< 400 input, 404 no job is open, 409 somebody was faster
    Problem problem;
};
using Outcome = std::variant<OpenedPtr, Refusal>;

class Session {
  public:
    /// Null when no job is open.
    [[nodiscard]] OpenedPtr opened() const;

    /// What can be undone and redone, and whether the file is not what it was. Reads the file.
    struct Marks {
        bool changed_on_disk = false;
        std::optional<std::string> undo, redo;
    };
    [[nodiscard]] Marks marks() const;

    /// Opens a job file and forgets the one before. A file with a fault is opened too, with its problem.
    [[nodiscard]] Outcome open(const std::filesystem::path& file);

    /// One undoable change of the text. `revision`: what the caller saw; when that is not the text that stands, or the
    /// file was changed by somebody else, nothing is written (409). What read_job refuses is not written either (400).
    [[nodiscard]] Outcome change(const std::string& revision, const std::string& label,
                                 const std::function<Result<std::string>(const Opened&)>& edited);
    [[nodiscard]] Outcome undo(const std::string& revision);
    [[nodiscard]] Outcome redo(const std::string& revision);
    /// Takes what is on disk now; what stood before can be had back by undo.
    [[nodiscard]] Outcome reload();

  private:
    struct Step {
        std::string label, before, after;
    };
    [[nodiscard]] Outcome write(const std::string& text);
    [[nodiscard]] std::optional<Refusal> fault_of(const std::string& revision) const;
    void remember(Step step);

    mutable std::mutex mutex_;
    OpenedPtr opened_;
    std::string on_disk_;     ///< bytes of the file as we last read or wrote them
    std::vector<Step> steps_; ///< oldest first
    std::size_t done_ = 0;    ///< how many of them stand; the rest can be redone
};

} // namespace kerfwright::page
