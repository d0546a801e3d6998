#include "base/result.hpp"

namespace kerfwright {

std::string to_string(const Problem& problem) {
    std::string text = problem.file;
    if (problem.line > 0) {
        text += ':' + std::to_string(problem.line);
        if (problem.column > 0) text += ':' + std::to_string(problem.column);
    }
    if (!text.empty()) text += ": ";
    text += problem.what;
    if (!problem.remedy.empty()) text += "; " + problem.remedy;
    return text;
}

} // namespace kerfwright
