#include "ingest/workbook/xml.h"

#include <expat.h>

namespace cw {
namespace {

struct Walk {
  const XmlVisitor* visitor = nullptr;
  XML_Parser parser = nullptr;
};

std::string_view local_name(const char* name) {
  const std::string_view whole = name;
  const std::size_t colon = whole.rfind(':');
  return colon == std::string_view::npos ? whole : whole.substr(colon + 1);
}

void on_begin(void* data, const char* name, const char** attributes) {
  const auto* walk = static_cast<Walk*>(data);
  if (!walk->visitor->begin) return;
  XmlVisitor::Attributes list;
  for (std::size_t i = 0; attributes[i] != nullptr; i += 2) {
    list.emplace_back(attributes[i], attributes[i + 1]);
  }
  walk->visitor->begin(local_name(name), list);
}

void on_end(void* data, const char* name) {
  const auto* walk = static_cast<Walk*>(data);
  if (walk->visitor->end) walk->visitor->end(local_name(name));
}

void on_text(void* data, const char* text, int length) {
  const auto* walk = static_cast<Walk*>(data);
  if (walk->visitor->text) walk->visitor->text({text, static_cast<std::size_t>(length)});
}

/// No workbook declares entities; an archive that does wants them to grow.
void on_entity(void* data, const char*, int, const char*, int, const char*, const char*,
               const char*, const char*) {
  XML_StopParser(static_cast<Walk*>(data)->parser, XML_FALSE);
}

}  // namespace

Status walk_xml(std::string_view xml, const XmlVisitor& visitor) {
  XML_Parser parser = XML_ParserCreate(nullptr);
  if (parser == nullptr)
    return Error{ErrorCode::unreadable, "no memory for the XML reader", "", ""};
  Walk walk{&visitor, parser};
  XML_SetUserData(parser, &walk);
  XML_SetElementHandler(parser, on_begin, on_end);
  XML_SetCharacterDataHandler(parser, on_text);
  XML_SetEntityDeclHandler(parser, on_entity);
  Status out = Done{};
  constexpr std::size_t piece = 1U << 24U;
  std::size_t at = 0;
  do {
    const std::string_view part = xml.substr(at, piece);
    at += part.size();
    if (XML_Parse(parser, part.data(), static_cast<int>(part.size()), at >= xml.size() ? 1 : 0) !=
        XML_STATUS_OK) {
      out = Error{
          ErrorCode::unreadable,
          std::string("the XML inside is broken: ") + XML_ErrorString(XML_GetErrorCode(parser)), "",
          "Save the workbook again"};
      break;
    }
  } while (at < xml.size());
  XML_ParserFree(parser);
  return out;
}

std::string_view attribute(const XmlVisitor::Attributes& attributes, std::string_view name) {
  for (const auto& [key, value] : attributes) {
    if (key == name) return value;
  }
  return {};
}

}  // namespace cw
