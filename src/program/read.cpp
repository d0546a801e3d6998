#include "program/read.hpp"

#include "program/interpreter.hpp"

namespace kerfwright::program {

Reading read_program(std::string_view text, const ReadOptions& options) {
    Interpreter interpreter(options, text.size());
    int number = 0;
    for (std::size_t at = 0; at < text.size();) {
        std::size_t end = at;
        while (end < text.size() && text[end] != '\n' && text[end] != '\r')
            ++end;
        if (!interpreter.line(text.substr(at, end - at), ++number)) break;
        const bool pair = end + 1 < text.size() && text[end] == '\r' && text[end + 1] == '\n';
        at = end + (pair ? 2 : 1);
    }
    return interpreter.finish();
}

} // namespace kerfwright::program
