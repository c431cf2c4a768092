#pragma once

#include <fcntl.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdint>
#include <cstdlib>
#include <string>
#include <vector>

namespace cw::test {

/// `coilwright serve` with a folder, in a process of its own.
class Program {
 public:
  explicit Program(const std::string& folder, std::vector<std::string> more = {}) {
    int pipe[2];
    if (::pipe2(pipe, O_CLOEXEC) != 0) return;
    const std::string binary = std::string(CW_BINARY_ROOT) + "/coilwright";
    std::vector<std::string> words = {binary, "serve", "--port", "0", "--folder", folder};
    words.insert(words.end(), more.begin(), more.end());
    std::vector<char*> arguments;
    for (std::string& word : words) arguments.push_back(word.data());
    arguments.push_back(nullptr);
    process_ = ::fork();
    if (process_ == 0) {
      ::dup2(pipe[1], STDOUT_FILENO);
      const int nothing = ::open("/dev/null", O_RDWR);
      ::dup2(nothing, STDERR_FILENO);
      ::execv(binary.c_str(), arguments.data());
      ::_exit(127);
    }
    ::close(pipe[1]);
    char byte = 0;
    while (::read(pipe[0], &byte, 1) == 1 && byte != '\n') said += byte;
    ::close(pipe[0]);
    const std::size_t colon = said.rfind(':');
    if (colon != std::string::npos) {
      port = static_cast<std::uint16_t>(std::atoi(said.c_str() + colon + 1));
    }
  }
  ~Program() { end(SIGKILL); }
  Program(const Program&) = delete;
  Program& operator=(const Program&) = delete;

  /// @returns its exit code, or minus the signal
  int end(int signal) {
    if (process_ <= 0) return 0;
    ::kill(process_, signal);
    int status = 0;
    ::waitpid(process_, &status, 0);
    process_ = -1;
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
  }

  std::string said;
  std::uint16_t port = 0;

 private:
  pid_t process_ = -1;
};

}  // namespace cw::test
