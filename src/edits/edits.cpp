#include "edits/edits.hpp"

#include "edits/editor.hpp"
#include "edits/write.hpp"

namespace kerfwright::edits {
namespace {

using Json = nlohmann::ordered_json;

void make(Editor& editor, const Edit& edit) {
    switch (edit.kind) {
    case Edit::Kind::set:
        return editor.set(edit.path, edit.value);
    case Edit::Kind::remove:
        return editor.remove(edit.path);
    case Edit::Kind::append:
        return editor.append(edit.path, edit.value);
    }
}

} // namespace

Result<std::string> edit_toml(std::string_view text, const std::string& file, const std::vector<Edit>& edits) {
    const auto problem = [&](std::string what, std::string remedy) {
        return Problem{file, 0, 0, std::move(what), std::move(remedy)};
    };
    try {
        Editor editor{std::string(text), tree_of(toml::parse(text, std::string_view(file)))};
        for (const Edit& edit : edits)
            make(editor, edit);
        const toml::table result = toml::parse(std::string_view(editor.text()));
        if (without_empty_tables(tree_of(result)) != without_empty_tables(editor.tree()))
            return problem("the edit would change more than was asked; nothing was written", "change the text itself");
        return editor.text();
    } catch (const toml::parse_error& error) {
        const toml::source_position& at = error.source().begin;
        return Problem{file, static_cast<int>(at.line), static_cast<int>(at.column), std::string(error.description()),
                       "mend the TOML there"};
    } catch (const CannotEdit& cannot) {
        return problem(cannot.what, cannot.remedy);
    } catch (const NoTomlValue& no_value) {
        return problem("a value cannot be written: " + no_value.what, "send another value");
    }
}

Json toml_values(std::string_view text) {
    try {
        return tree_of(toml::parse(text));
    } catch (const toml::parse_error&) {
        return nullptr;
    }
}

} // namespace kerfwright::edits
