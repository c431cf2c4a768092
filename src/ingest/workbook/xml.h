#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/result.h"

namespace cw {

/// What a walk through an XML text calls back with; names come without their namespace prefix.
struct XmlVisitor {
  using Attributes = std::vector<std::pair<std::string_view, std::string_view>>;
  std::function<void(std::string_view name, const Attributes&)> begin;
  std::function<void(std::string_view name)> end;
  std::function<void(std::string_view text)> text;
};

/// @error unreadable  no well-formed XML, or XML that declares entities
Status walk_xml(std::string_view xml, const XmlVisitor& visitor);

/// An attribute's value, or an empty text.
std::string_view attribute(const XmlVisitor::Attributes& attributes, std::string_view name);

}  // namespace cw
