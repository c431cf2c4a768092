#include "server/serve.h"

#include <cstdlib>

#include "base/text.h"
#include "server/memory.h"
#include "server/workbench.h"

namespace cw::server {
namespace {

bool is_any_address(const std::string& address) { return address == "0.0.0.0" || address == "::"; }

/// "::1" -> "[::1]", as it stands in a Host header.
std::string in_brackets(const std::string& address) {
  return address.find(':') == std::string::npos ? address : "[" + address + "]";
}

/// Opens the server; where nobody asked for that very port, another one will do.
Result<std::unique_ptr<HttpServer>> open_server(const ServeOptions& options, Front& front) {
  HttpOptions http;
  http.address = options.address;
  http.port = options.port;
  http.end_on_signals = options.end_on_signals;
  Result<std::unique_ptr<HttpServer>> out = HttpServer::open(http, front);
  if (out || options.port_stated || options.port == 0) return out;
  http.port = 0;
  return HttpServer::open(http, front);
}

Gate gate_for(const ServeOptions& options, const HttpServer& server) {
  Gate gate;
  gate.port = server.port();
  gate.names = {"localhost", to_lower(in_brackets(options.address))};
  if (server.loopback()) {
    gate.names.insert(gate.names.end(), {"127.0.0.1", "[::1]"});
  } else {
    gate.token = random_name();
    gate.any_address = is_any_address(options.address);
  }
  for (const std::string& name : options.names) gate.names.push_back(to_lower(name));
  return gate;
}

}  // namespace

std::filesystem::path usual_folder() {
  for (const auto& [variable, inside] :
       {std::pair{"XDG_DATA_HOME", "coilwright"}, std::pair{"HOME", ".local/share/coilwright"}}) {
    const char* const text = std::getenv(variable);
    if (text == nullptr) continue;
    const std::filesystem::path path(text);
    if (path.is_absolute()) return path / inside;
  }
  return {};
}

Status serve(const ServeOptions& options,
             const std::function<void(const std::string&)>& listening) {
  keep_memory_together();
  Result<std::unique_ptr<Store>> store = Store::open(options.folder);
  if (!store) return store.error();
  Workbench workbench(std::move(*store), Gate{}, options.upload_limit);
  const Result<std::unique_ptr<HttpServer>> server = open_server(options, workbench);
  if (!server) return server.error();
  workbench.gate = gate_for(options, **server);
  std::string address =
      "http://" + in_brackets(options.address) + ":" + std::to_string((*server)->port()) + "/";
  if (!workbench.gate.token.empty()) address += "?token=" + workbench.gate.token;
  listening(address);
  (*server)->run();
  // Jobs first: they wake sessions, which the server holds.
  workbench.end();
  return Done{};
}

}  // namespace cw::server
