#include "cli/print_pdf.h"

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <string>
#include <thread>
#include <vector>

#include "base/file.h"

extern char** environ;

namespace cw::cli {
namespace {

namespace fs = std::filesystem;

/// A directory of our own that goes when the work is done.
class Scratch {
 public:
  static Result<Scratch> make() {
    std::error_code error;
    std::string name = (fs::temp_directory_path(error) / "coilwright-XXXXXX").string();
    if (error || mkdtemp(name.data()) == nullptr) {
      return Error{ErrorCode::unreadable, "no temporary directory could be made", name,
                   "Set TMPDIR to a directory that can be written"};
    }
    return Scratch(name);
  }
  Scratch(Scratch&& other) noexcept : path_(std::move(other.path_)) { other.path_.clear(); }
  Scratch& operator=(Scratch&&) = delete;
  Scratch(const Scratch&) = delete;
  Scratch& operator=(const Scratch&) = delete;
  ~Scratch() {
    std::error_code ignored;
    if (!path_.empty()) fs::remove_all(path_, ignored);
  }
  fs::path operator/(const char* name) const { return path_ / name; }

 private:
  explicit Scratch(fs::path path) : path_(std::move(path)) {}
  fs::path path_;
};

bool can_run(const fs::path& file) {
  std::error_code ignored;
  return fs::is_regular_file(file, ignored) && access(file.c_str(), X_OK) == 0;
}

Result<std::string> find_browser() {
  if (const char* named = std::getenv("COILWRIGHT_BROWSER"); named != nullptr && *named != '\0') {
    if (can_run(named)) return std::string(named);
    return Error{ErrorCode::not_found, "COILWRIGHT_BROWSER names no program", named,
                 "Give the full path of a Chromium"};
  }
  const char* path = std::getenv("PATH");
  std::string rest = path == nullptr ? "" : path;
  rest += ':';
  for (std::size_t from = 0, to = 0; (to = rest.find(':', from)) != std::string::npos;
       from = to + 1) {
    for (const char* name : {"chromium", "chromium-browser"}) {
      const fs::path file = fs::path(rest.substr(from, to - from)) / name;
      if (can_run(file)) return file.string();
    }
  }
  return Error{ErrorCode::not_found, "no Chromium to print with", "--pdf",
               "Install chromium, or set COILWRIGHT_BROWSER to one; or write --html and print it "
               "from any browser"};
}

/// Runs a program with its words on nothing; waits up to two minutes.
Status run_quietly(std::vector<std::string> words) {
  std::vector<char*> argv;
  for (std::string& word : words) argv.push_back(word.data());
  argv.push_back(nullptr);
  posix_spawn_file_actions_t files;
  posix_spawn_file_actions_init(&files);
  posix_spawn_file_actions_addopen(&files, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
  posix_spawn_file_actions_addopen(&files, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
  pid_t child = 0;
  const int failed = posix_spawn(&child, argv[0], &files, nullptr, argv.data(), environ);
  posix_spawn_file_actions_destroy(&files);
  const auto error = [&](const std::string& what) {
    return Error{ErrorCode::unreadable, "the browser " + what, words[0],
                 "Write --html and print it from a browser"};
  };
  if (failed != 0) return error("could not be started");
  constexpr auto patience = std::chrono::minutes(2);
  constexpr auto nap = std::chrono::milliseconds(50);
  for (auto waited = std::chrono::milliseconds(0); waited < patience; waited += nap) {
    int status = 0;
    const pid_t done = waitpid(child, &status, WNOHANG);
    if (done == child) {
      if (WIFEXITED(status) && WEXITSTATUS(status) == 0) return Done{};
      return error("failed");
    }
    if (done < 0) return error("was lost");
    std::this_thread::sleep_for(nap);
  }
  kill(child, SIGKILL);
  waitpid(child, nullptr, 0);
  return error("did not finish within two minutes");
}

}  // namespace

Status print_pdf(std::string_view html, const fs::path& pdf) {
  const Result<std::string> browser = find_browser();
  if (!browser) return browser.error();
  const Result<Scratch> scratch = Scratch::make();
  if (!scratch) return scratch.error();
  const fs::path page = *scratch / "report.html";
  const fs::path printed = *scratch / "report.pdf";
  if (Status s = write_file(page, html); !s) return s.error();
  std::vector<std::string> words = {*browser,
                                    "--headless",
                                    "--disable-gpu",
                                    "--disable-extensions",
                                    "--no-first-run",
                                    "--user-data-dir=" + (*scratch / "profile").string(),
                                    "--no-pdf-header-footer",
                                    "--print-to-pdf=" + printed.string()};
  // A browser refuses its sandbox to root; the page is our own and asks for nothing from outside.
  if (geteuid() == 0) words.emplace_back("--no-sandbox");
  words.push_back("file://" + page.string());
  if (Status s = run_quietly(std::move(words)); !s) return s.error();
  const Result<std::string> bytes = read_file(printed);
  if (!bytes || !bytes->starts_with("%PDF-")) {
    return Error{ErrorCode::unreadable, "the browser wrote no PDF", *browser,
                 "Write --html and print it from a browser"};
  }
  return write_file(pdf, *bytes);
}

}  // namespace cw::cli
