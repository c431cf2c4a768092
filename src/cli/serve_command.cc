#include "server/serve.h"

#include <array>
#include <cstdio>

#include "base/text.h"
#include "cli/command.h"

namespace cw::cli {
namespace {

constexpr std::uint16_t usual_port = 8127;  // not assigned by IANA; own choice

constexpr std::array flags = {
    Flag{"--folder", "DIR", "where recordings are kept (default: the user's data folder)"},
    Flag{"--port", "NUMBER", "port (default 8127, or a free one; 0: any free one)"},
    Flag{"--listen", "ADDRESS", "IP address to listen on beyond this machine; asks for a token"},
    Flag{"--host", "NAME", "a host name that it is reached by there (may be repeated)", true},
    Flag{"--upload-limit", "MB", "largest file that can be taken in (default 8192)"},
};

Result<double> whole_number(const std::string& text, const char* flag, double highest) {
  double number = 0.0;
  if (!read_number(text, number) || number < 0.0 || number > highest ||
      number != static_cast<double>(static_cast<std::uint64_t>(number))) {
    return Error{ErrorCode::invalid_argument, "\"" + text + "\" will not do", flag,
                 "Give a whole number up to " + number_text(highest, 12)};
  }
  return number;
}

Result<server::ServeOptions> read_options(const Arguments& arguments) {
  server::ServeOptions out;
  const auto folder = arguments.value("--folder");
  out.folder = folder ? std::filesystem::path(*folder) : server::usual_folder();
  if (out.folder.empty()) {
    return Error{ErrorCode::not_found, "there is no place for recordings: HOME is not set",
                 "--folder", "Name one: --folder DIR"};
  }
  out.port = usual_port;
  if (const auto port = arguments.value("--port")) {
    const Result<double> number = whole_number(*port, "--port", 65535.0);
    if (!number) return number.error();
    out.port = static_cast<std::uint16_t>(*number);
    out.port_stated = true;
  }
  if (const auto limit = arguments.value("--upload-limit")) {
    const Result<double> number = whole_number(*limit, "--upload-limit", 1048576.0);
    if (!number) return number.error();
    out.upload_limit = static_cast<std::uint64_t>(*number) * 1000000U;
  }
  out.address = arguments.value("--listen").value_or(out.address);
  out.names = arguments.all("--host");
  return out;
}

int run(const Arguments& arguments) {
  const Result<server::ServeOptions> options = read_options(arguments);
  if (!options) return report_error(options.error());
  const Status served = server::serve(*options, [&](const std::string& address) {
    print("Workbench: " + address + "\n");
    std::fprintf(stderr, "Recordings are kept in %s. Ctrl-C ends it.\n", options->folder.c_str());
  });
  return served ? ExitCode::ran : report_error(served.error());
}

}  // namespace

const Command serve_command = {
    "serve",
    "Open the workbench: the whole job in a browser, on this machine, without a network",
    "",
    "",
    false,
    flags,
    "Prints the address to open. Listens on this machine only; with --listen whoever knows the\n"
    "printed token may use it, over a connection that is not encrypted: a trusted network only.\n"
    "Exit: 0 ended by Ctrl-C, 2 wrong usage, folder or port.",
    run};

}  // namespace cw::cli
