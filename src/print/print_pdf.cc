#include "print/print_pdf.h"

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <string>
#include <thread>
#include <vector>

#include "base/file.h"
#include "base/text.h"

extern char** environ;

namespace cw::print {
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

/// What a page may do, before anything of it is read: show itself.
constexpr std::string_view seal =
    "<!doctype html><html><head><meta charset=\"utf-8\"><meta "
    "http-equiv=\"Content-Security-Policy\" "
    "content=\"default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; "
    "form-action 'none'\">";

/// A policy does not keep a page from going to another address by itself. Only one thing without a
/// script does that, and no page of ours has it.
Status check_stays(std::string_view html) {
  if (to_lower(html).find("http-equiv") == std::string::npos) return Done{};
  return Error{ErrorCode::invalid_argument, "the page would go to another address by itself",
               "http-equiv", "Print a page that the program wrote"};
}

/// The environment for the browser: what it writes beside its profile goes into the scratch, too.
class Surroundings {
 public:
  explicit Surroundings(const fs::path& home) {
    for (char** each = environ; *each != nullptr; ++each) {
      const std::string_view text = *each;
      const std::string_view name = text.substr(0, text.find('='));
      if (name != "HOME" && name != "TMPDIR" && !name.starts_with("XDG_"))
        words_.emplace_back(text);
    }
    words_.push_back("HOME=" + home.string());
    // The browser makes a socket in a folder of its own below it, and a socket's path has 107
    // characters.
    const bool fits = home.string().size() <= 60;
    words_.push_back("TMPDIR=" + (fits ? home.string() : std::string("/tmp")));
    for (std::string& word : words_) pointers_.push_back(word.data());
    pointers_.push_back(nullptr);
  }
  char** get() { return pointers_.data(); }

 private:
  std::vector<std::string> words_;
  std::vector<char*> pointers_;
};

/// Starts a program in a process group of its own, with its words on nothing and none of our files:
/// a server's connections would stay open as long as it runs.
int start(std::vector<std::string>& words, const fs::path& home, pid_t& child) {
  std::vector<char*> argv;
  for (std::string& word : words) argv.push_back(word.data());
  argv.push_back(nullptr);
  posix_spawn_file_actions_t files;
  posix_spawn_file_actions_init(&files);
  posix_spawn_file_actions_addopen(&files, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
  posix_spawn_file_actions_addopen(&files, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
  posix_spawn_file_actions_addopen(&files, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
  posix_spawn_file_actions_addclosefrom_np(&files, STDERR_FILENO + 1);
  posix_spawnattr_t how;
  posix_spawnattr_init(&how);
  sigset_t none;
  sigemptyset(&none);
  posix_spawnattr_setsigmask(&how, &none);
  posix_spawnattr_setpgroup(&how, 0);
  posix_spawnattr_setflags(&how, POSIX_SPAWN_SETPGROUP | POSIX_SPAWN_SETSIGMASK);
  Surroundings surroundings(home);
  const int failed = posix_spawn(&child, argv[0], &files, &how, argv.data(), surroundings.get());
  posix_spawnattr_destroy(&how);
  posix_spawn_file_actions_destroy(&files);
  return failed;
}

/// Runs it to its end; at most two minutes.
Status run_quietly(std::vector<std::string> words, const fs::path& home,
                   const std::function<bool()>& stopped) {
  const auto error = [&](const std::string& what) {
    return Error{ErrorCode::unreadable, "the browser " + what, words[0],
                 "Does it start by itself on this machine?"};
  };
  pid_t child = 0;
  if (start(words, home, child) != 0) return error("could not be started");
  // The whole group, before its number is free for another one.
  const auto end = [&] {
    int status = 0;
    kill(-child, SIGKILL);
    waitpid(child, &status, 0);
    return status;
  };
  constexpr auto patience = std::chrono::minutes(2);
  constexpr auto nap = std::chrono::milliseconds(50);
  const auto began = std::chrono::steady_clock::now();
  while (std::chrono::steady_clock::now() - began < patience) {
    siginfo_t ended{};
    if (waitid(P_PID, static_cast<id_t>(child), &ended, WEXITED | WNOHANG | WNOWAIT) != 0) {
      return error("was lost");
    }
    if (ended.si_pid == child) {
      const int status = end();
      if (WIFEXITED(status) && WEXITSTATUS(status) == 0) return Done{};
      return error("failed");
    }
    if (stopped && stopped()) {
      end();
      return Error{ErrorCode::invalid_argument, "stopped", "", ""};
    }
    std::this_thread::sleep_for(nap);
  }
  end();
  return error("did not finish within two minutes");
}

std::vector<std::string> command(const std::string& browser, const fs::path& page,
                                 const fs::path& printed, const fs::path& profile) {
  std::vector<std::string> words = {
      browser, "--headless", "--disable-gpu", "--disable-extensions", "--no-first-run",
      "--disable-background-networking", "--disable-component-update", "--disable-sync",
      "--disable-breakpad", "--dns-prefetch-disable", "--no-pings",
      // No name is found, and the way to every address is a port of
      // this machine at which nobody answers.
      "--host-resolver-rules=MAP * ~NOTFOUND", "--proxy-server=127.0.0.1:9",
      "--proxy-bypass-list=<-loopback>", "--user-data-dir=" + profile.string(),
      "--no-pdf-header-footer", "--print-to-pdf=" + printed.string()};
  // A browser refuses its sandbox to root; the page runs nothing and loads nothing.
  if (geteuid() == 0) words.emplace_back("--no-sandbox");
  words.push_back("file://" + page.string());
  return words;
}

}  // namespace

Result<std::string> find_browser() {
  if (const char* named = std::getenv("COILWRIGHT_BROWSER"); named != nullptr && *named != '\0') {
    if (can_run(named)) return std::string(named);
    return Error{ErrorCode::unsupported, "COILWRIGHT_BROWSER names no program", named,
                 "Give it the full path of a Chromium"};
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
  return Error{ErrorCode::unsupported, "no Chromium to print with on this machine", "",
               "Install chromium, or set COILWRIGHT_BROWSER to one"};
}

Result<std::string> print_pdf(std::string_view html, const std::function<bool()>& stopped) {
  const Result<std::string> browser = find_browser();
  if (!browser) return browser.error();
  if (Status s = check_stays(html); !s) return s.error();
  const Result<Scratch> scratch = Scratch::make();
  if (!scratch) return scratch.error();
  const fs::path page = *scratch / "report.html";
  const fs::path printed = *scratch / "report.pdf";
  if (Status s = write_file(page, std::string(seal) + std::string(html)); !s) return s.error();
  if (Status s = run_quietly(command(*browser, page, printed, *scratch / "profile"), *scratch / "",
                             stopped);
      !s) {
    return s.error();
  }
  Result<std::string> bytes = read_file(printed);
  if (!bytes || !bytes->starts_with("%PDF-")) {
    return Error{ErrorCode::unreadable, "the browser wrote no PDF", *browser,
                 "Does it print by itself on this machine?"};
  }
  return bytes;
}

}  // namespace cw::print
