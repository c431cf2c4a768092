#include <algorithm>
#include <nlohmann/json.hpp>

#include "base/display_digits.h"
#include "base/version.h"
#include "fluid/refrigerant.h"
#include "ingest/packed/unpack.h"
#include "report/check_report.h"
#include "scenario/examples.h"
#include "server/answers.h"
#include "server/page.h"
#include "server/workbench.h"

namespace cw::server {
namespace {

using Json = nlohmann::ordered_json;

Response page_file(const Call& call, std::string_view path) {
  const std::span<const PageFile> files = page_files();
  const auto found = std::find_if(files.begin(), files.end(),
                                  [&](const PageFile& file) { return file.path == path; });
  if (found == files.end()) {
    return error_response(404, {ErrorCode::not_found, "there is no such file", "", ""});
  }
  Response out;
  const std::string tag = "\"" + std::string(found->tag) + "\"";
  const bool named_by_content = path.starts_with("/assets/");
  out.headers = {
      {"ETag", tag},
      {"Vary", "Accept-Encoding"},
      {"Cache-Control", named_by_content ? "public, max-age=31536000, immutable" : "no-cache"}};
  out.content_type = found->type;
  if (call.request.if_none_match == tag) {
    out.status = 304;
    return out;
  }
  if (call.request.accepts_gzip) {
    out.headers.emplace_back("Content-Encoding", "gzip");
    out.lasting = found->gzip;
  } else {
    // For the rare client that takes no gzip.
    Result<std::string> plain = unpack_gzip(found->gzip);
    if (!plain) return error_response(plain.error());
    out.body = *std::move(plain);
  }
  return out;
}

Response root(Workbench&, Call& call) { return page_file(call, "/index.html"); }
Response root_file(Workbench&, Call& call) { return page_file(call, "/" + call.parts.front()); }
Response asset(Workbench&, Call& call) { return page_file(call, "/assets/" + call.parts.front()); }

Json unit_json(Dimension dimension, UnitSystem system) {
  const Unit unit = display_unit(dimension, system);
  return {{"symbol", display_symbol(dimension, system)},
          {"scale", unit.scale},
          {"offset", unit.offset},
          {"digits", display_digits(dimension, system)}};
}

Response about(Workbench& workbench, Call&) {
  Json out = {{"name", "coilwright"},
              {"version", version()},
              {"upload_limit", workbench.upload_limit},
              {"folder", workbench.store->folder().string()},
              {"cautions", check_cautions()}};
  Json dimensions = Json::object();
  for (const Quantity& quantity : all_quantities()) {
    const std::string name(name_of(quantity.dimension));
    if (dimensions.contains(name)) continue;
    dimensions[name] = {{"si", unit_json(quantity.dimension, UnitSystem::si)},
                        {"ip", unit_json(quantity.dimension, UnitSystem::ip)}};
  }
  for (const Dimension dimension :
       {Dimension::temperature_difference, Dimension::pressure_difference, Dimension::mass,
        Dimension::power, Dimension::mass_flow, Dimension::specific_energy,
        Dimension::specific_entropy, Dimension::density, Dimension::length, Dimension::volume,
        Dimension::time, Dimension::ratio}) {
    dimensions[std::string(name_of(dimension))] = {{"si", unit_json(dimension, UnitSystem::si)},
                                                   {"ip", unit_json(dimension, UnitSystem::ip)}};
  }
  out["dimensions"] = dimensions;
  out["quantities"] = Json::array();
  for (const Quantity& quantity : all_quantities()) {
    out["quantities"].push_back({{"name", quantity.name},
                                 {"label", quantity.label},
                                 {"dimension", name_of(quantity.dimension)}});
  }
  out["refrigerants"] = Json::array();
  for (const std::string_view name : fluid::refrigerant_names()) {
    out["refrigerants"].push_back(name);
  }
  out["examples"] = Json::array();
  for (const EmbeddedFile& file : scenario::example_systems()) {
    std::string id(file.name.substr(file.name.rfind('/') + 1));
    id.resize(id.rfind('.'));
    std::string title = id;
    std::replace(title.begin(), title.end(), '_', ' ');
    out["examples"].push_back({{"id", id}, {"title", title}});
  }
  return json_response(out.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n");
}

constexpr Route routes[] = {
    {Method::get, "/", root},
    {Method::get, "/{}", root_file},
    {Method::get, "/assets/{}", asset},
    {Method::get, "/api/about", about},
};

}  // namespace

std::span<const Route> page_routes() { return routes; }

}  // namespace cw::server
