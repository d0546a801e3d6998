#include "drawing/xml.hpp"

#include <fmt/format.h>
#include <libxml/SAX2.h>
#include <libxml/parser.h>
#include <libxml/parserInternals.h>

#include <algorithm>
#include <map>
#include <memory>
#include <optional>

namespace kerfwright::drawing {
namespace {

std::string_view view(const xmlChar* text) {
    return text == nullptr ? std::string_view{} : std::string_view(reinterpret_cast<const char*>(text));
}

bool is_space(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

void append_utf8(std::string& text, unsigned long code) {
    const auto put = [&](unsigned long byte) { text += static_cast<char>(static_cast<unsigned char>(byte)); };
    if (code < 0x80)
        put(code);
    else if (code < 0x800)
        put(0xC0 | code >> 6U), put(0x80 | (code & 0x3FU));
    else if (code < 0x10000)
        put(0xE0 | code >> 12U), put(0x80 | (code >> 6U & 0x3FU)), put(0x80 | (code & 0x3FU));
    else
        put(0xF0 | code >> 18U), put(0x80 | (code >> 12U & 0x3FU)), put(0x80 | (code >> 6U & 0x3FU)),
            put(0x80 | (code & 0x3FU));
}

/// What the parser's callbacks build.
struct Builder {
    const std::string& file;
    const std::vector<std::string_view>& keep_text;
    XmlLimits limits;
    xmlParserCtxtPtr parser = nullptr;
    Document document;
    std::vector<Element*> open;
    std::optional<Problem> problem;
    std::map<std::string, std::string, std::less<>> entities{
        {"amp", "&"}, {"lt", "<"}, {"gt", ">"}, {"quot", "\""}, {"apos", "'"}};
    std::size_t expanded = 0;   ///< bytes of entity text put in
    std::size_t tag_offset = 0; ///< of the last tag
    int tag_column = 1;

    void stop(Place at, std::string what, std::string remedy) {
        if (!problem) problem = Problem{file, at.line, at.column, std::move(what), std::move(remedy)};
        xmlStopParser(parser);
    }

    /// The value as the parser read it, but with its line ends, so that places in it can be told.
    std::string decoded(std::string_view raw, Place at) {
        std::string value;
        value.reserve(raw.size());
        for (std::size_t i = 0; i < raw.size(); ++i) {
            if (raw[i] != '&') {
                value += raw[i];
                continue;
            }
            const std::size_t end = raw.find(';', i);
            if (end == std::string_view::npos) break; // the parser has refused this already
            const std::string_view name = raw.substr(i + 1, end - i - 1);
            i = end;
            if (name.size() > 1 && name[0] == '#') {
                const bool hex = name[1] == 'x';
                append_utf8(value, std::strtoul(std::string(name.substr(hex ? 2 : 1)).c_str(), nullptr, hex ? 16 : 10));
            } else if (const auto known = entities.find(name); known != entities.end()) {
                expanded += known->second.size();
                if (expanded > 1'000'000) {
                    stop(at, "the file's entities expand to more than a million characters", "write their text out");
                    break;
                }
                value += known->second;
            }
        }
        return value;
    }

    /// Reads the attributes of the tag again, from its own text: the parser does not tell where they stand.
    void read_attributes(Element& element, std::string_view tag) {
        std::size_t i = 0;
        const auto skip = [&](auto what) {
            while (i < tag.size() && what(tag[i]))
                ++i;
        };
        const auto place = [&](std::size_t offset) { return advanced(element.place, tag, offset); };
        skip([](char c) { return !is_space(c) && c != '/' && c != '>'; });
        Place at = place(i);
        std::size_t at_offset = i;
        for (;;) {
            skip(is_space);
            const std::size_t begin = i;
            skip([](char c) { return !is_space(c) && c != '=' && c != '/' && c != '>'; });
            const std::string_view name = tag.substr(begin, i - begin);
            skip(is_space);
            if (name.empty() || i >= tag.size() || tag[i] != '=') return;
            ++i;
            skip(is_space);
            if (i >= tag.size() || (tag[i] != '"' && tag[i] != '\'')) return;
            const std::size_t end = tag.find(tag[i], i + 1);
            if (end == std::string_view::npos) return;
            at = advanced(at, tag.substr(at_offset), i + 1 - at_offset);
            at_offset = i + 1;
            element.attributes.push_back({std::string(name), decoded(tag.substr(i + 1, end - i - 1), at), at});
            i = end + 1;
        }
    }

    /// Counted from the line's start or from the tag before, so that a file of one long line costs no more.
    int column_of(const xmlChar* tag) {
        const std::size_t offset = parser->input->consumed + static_cast<std::size_t>(tag - parser->input->base);
        int column = 0;
        const xmlChar* c = tag;
        const xmlChar* known = offset - tag_offset > static_cast<std::size_t>(tag - parser->input->base)
                                   ? parser->input->base
                                   : tag - (offset - tag_offset);
        for (; c > known && c[-1] != '\n'; --c)
            column += (c[-1] & 0xC0U) != 0x80;
        column += c == known ? tag_column : 1;
        tag_offset = offset;
        return tag_column = column;
    }

    void start(std::string_view name, std::string_view space, int namespaces) {
        // The input still holds the whole tag; '<' cannot stand inside it.
        const xmlChar* end = parser->input->cur;
        const xmlChar* begin = end;
        while (begin > parser->input->base && *begin != '<')
            --begin;
        const std::string_view tag(reinterpret_cast<const char*>(begin), static_cast<std::size_t>(end - begin));
        const auto lines = static_cast<int>(std::count(tag.begin(), tag.end(), '\n'));
        const Place at{parser->input->line - lines, column_of(begin)};

        if (static_cast<int>(open.size()) >= limits.depth)
            return stop(at, fmt::format("elements are nested more than {} deep", limits.depth),
                        "flatten the groups of the drawing");
        if (namespaces > limits.namespaces)
            return stop(at, fmt::format("an element declares {} namespaces", namespaces), "save it again as plain SVG");
        if (document.elements.size() >= limits.elements)
            return stop(at, fmt::format("the file has more than {} elements", limits.elements), "simplify the drawing");
        Element& element = document.elements.emplace_back();
        element.name = name;
        element.space = space;
        element.place = at;
        if (!open.empty()) {
            element.parent = open.back();
            open.back()->children.push_back(&element);
        }
        read_attributes(element, tag);
        open.push_back(&element);
    }

    void characters(std::string_view text) {
        if (open.empty()) return;
        if (std::find(keep_text.begin(), keep_text.end(), open.back()->name) != keep_text.end())
            open.back()->text += text;
    }

    void entity(std::string_view name, int type, std::string_view content) {
        const Place at{parser->input->line, parser->input->col};
        if (type == XML_INTERNAL_PARAMETER_ENTITY || type == XML_EXTERNAL_PARAMETER_ENTITY)
            return stop(at, fmt::format("parameter entity '%{}' is not read", name), "save the drawing without a DTD");
        if (type != XML_INTERNAL_GENERAL_ENTITY) return; // external entities are never used
        if (content.find('&') != std::string_view::npos || content.size() > 10'000 || entities.size() > 1000)
            return stop(at, fmt::format("entity '{}' is too long or made of other entities", name),
                        "write its text out");
        entities.emplace(name, content);
    }

    void fault(const xmlError& error) {
        if (problem || error.level < XML_ERR_FATAL) return;
        std::string what(error.message == nullptr ? "not well-formed" : error.message);
        while (!what.empty() && (is_space(what.back()) || what.back() == ':'))
            what.pop_back();
        problem = Problem{file, error.line, error.int2, "XML: " + what, "mend the file, or save it again as plain SVG"};
    }
};

/// The place of a tag with more attributes than allowed; line 0 when there is none. The parser compares each attribute
/// of a tag with all others, so this is asked before it runs.
Place crowded_tag(std::string_view text, int most) {
    const auto after = [&](std::string_view mark, std::size_t from) {
        const std::size_t found = text.find(mark, from);
        return found == std::string_view::npos ? text.size() : found + mark.size();
    };
    for (std::size_t i = text.find('<'); i < text.size(); i = text.find('<', i)) {
        if (text.substr(i, 4) == "<!--")
            i = after("-->", i);
        else if (text.substr(i, 9) == "<![CDATA[")
            i = after("]]>", i);
        else {
            const std::size_t begin = i;
            int values = 0;
            for (++i; i < text.size() && text[i] != '>' && text[i] != '<';) {
                const char quote = text[i];
                i = quote == '"' || quote == '\'' ? after({&quote, 1}, i + 1) : i + 1;
                if ((quote == '"' || quote == '\'') && ++values > most) return advanced({1, 1}, text, begin);
            }
        }
    }
    return {};
}

Builder& builder_of(void* context) {
    return *static_cast<Builder*>(static_cast<xmlParserCtxtPtr>(context)->_private);
}

xmlSAXHandler callbacks() {
    xmlSAXHandler sax{};
    xmlSAXVersion(&sax, 2);
    sax.startElementNs = [](void* context, const xmlChar* name, const xmlChar*, const xmlChar* space, int namespaces,
                            const xmlChar**, int, int,
                            const xmlChar**) { builder_of(context).start(view(name), view(space), namespaces); };
    sax.endElementNs = [](void* context, const xmlChar*, const xmlChar*, const xmlChar*) {
        auto& open = builder_of(context).open;
        if (!open.empty()) open.pop_back();
    };
    sax.characters = [](void* context, const xmlChar* text, int length) {
        builder_of(context).characters({reinterpret_cast<const char*>(text), static_cast<std::size_t>(length)});
    };
    sax.cdataBlock = sax.characters;
    sax.ignorableWhitespace = sax.characters;
    sax.reference = nullptr;
    sax.comment = nullptr;
    sax.processingInstruction = nullptr;
    sax.externalSubset = nullptr;
    sax.resolveEntity = nullptr;
    sax.entityDecl = [](void* context, const xmlChar* name, int type, const xmlChar* publicId, const xmlChar* systemId,
                        xmlChar* content) {
        xmlSAX2EntityDecl(context, name, type, publicId, systemId, content);
        builder_of(context).entity(view(name), type, view(content));
    };
    sax.warning = nullptr;
    sax.error = nullptr;
    sax.fatalError = nullptr;
    sax.serror = [](void* context, xmlErrorPtr error) { builder_of(context).fault(*error); };
    return sax;
}

} // namespace

Place advanced(Place start, std::string_view text, std::size_t offset) {
    for (const char c : text.substr(0, std::min(offset, text.size()))) {
        if (c == '\n')
            start = {start.line + 1, 1};
        else if ((static_cast<unsigned char>(c) & 0xC0U) != 0x80)
            ++start.column;
    }
    return start;
}

const Attribute* Element::find(std::string_view attribute) const {
    for (const Attribute& a : attributes)
        if (a.name == attribute) return &a;
    return nullptr;
}

const Attribute* Element::find_local(std::string_view local) const {
    if (const Attribute* plain = find(local)) return plain;
    for (const Attribute& a : attributes) {
        const std::size_t colon = a.name.find(':');
        if (colon != std::string::npos && std::string_view(a.name).substr(colon + 1) == local) return &a;
    }
    return nullptr;
}

Result<Document> parse_xml(std::string_view text, const std::string& file,
                           const std::vector<std::string_view>& keep_text, const XmlLimits& limits) {
    if (text.empty()) return Problem{file, 0, 0, "the file is empty", "save the drawing again"};
    if (const Place crowded = crowded_tag(text, limits.attributes); crowded.line > 0)
        return Problem{file, crowded.line, crowded.column,
                       fmt::format("an element has more than {} attributes", limits.attributes),
                       "simplify the drawing"};
    const std::unique_ptr<xmlParserCtxt, void (*)(xmlParserCtxtPtr)> parser(
        xmlCreateMemoryParserCtxt(text.data(), static_cast<int>(text.size())), [](xmlParserCtxtPtr p) {
            if (p->myDoc != nullptr) xmlFreeDoc(p->myDoc);
            p->myDoc = nullptr;
            xmlFreeParserCtxt(p);
        });
    if (!parser) return Problem{file, 0, 0, "the XML parser could not start", "save the drawing again"};
    Builder builder{file, keep_text, limits, parser.get(), {}, {}, {}};
    parser->_private = &builder;
    *parser->sax = callbacks();
    // HUGE lifts the parser's own limits (10 MB of text, 256 levels): those above take their place.
    xmlCtxtUseOptions(parser.get(), XML_PARSE_NONET | XML_PARSE_BIG_LINES | XML_PARSE_HUGE);
    xmlParseDocument(parser.get());
    if (builder.problem) return *builder.problem;
    if (parser->wellFormed == 0 || builder.document.elements.empty())
        return Problem{file, 0, 0, "not a well-formed XML text", "save the drawing again as plain SVG"};
    return std::move(builder.document);
}

} // namespace kerfwright::drawing
