#include "cli/serve_command.h"

#include <ostream>
#include <thread>

#include <pthread.h>
#include <signal.h>  // NOLINT(modernize-deprecated-headers): sigwait is POSIX

#include "cli/ledger_path.h"
#include "serve/demo.h"
#include "serve/server.h"

namespace fettle::cli {
namespace {

/// Blocks what asks the program to end, in this thread and those it starts, so that one thread can wait for
/// it.
sigset_t block_ending_signals() {
  sigset_t signals;
  sigemptyset(&signals);
  sigaddset(&signals, SIGINT);
  sigaddset(&signals, SIGTERM);
  sigaddset(&signals, SIGHUP);
  pthread_sigmask(SIG_BLOCK, &signals, nullptr);
  return signals;
}

bool load_demo(serve::Server& server, const ServeRequest& request, std::ostream& err) {
  const serve::DemoResult loaded = serve::load_demo(server.shop().ledger(), request.examples);
  for (const std::string& problem : loaded.problems) {
    err << "fettle: " << problem << '\n';
  }
  if (loaded.engines > 0) {
    err << "fettle: " << loaded.engines << " example engines loaded\n";
  }
  return loaded.problems.empty();
}

}  // namespace

int serve_command(const ServeRequest& request, std::ostream& out, std::ostream& err) {
  const sigset_t signals = block_ending_signals();
  serve::ServerOptions options;
  options.ledger = ledger_or_default(request.ledger);
  options.port = request.port;
  serve::Server server(options);
  if (request.demo && !load_demo(server, request, err)) {
    return 2;
  }
  out << "Fettle is at " << server.address() << " with the ledger " << options.ledger.string() << std::endl;
  std::thread waiter([&] {
    int signal = 0;
    sigwait(&signals, &signal);
    server.stop();
  });
  const bool asked = server.run();
  // Where the system ended it, the waiter still waits for a signal of its own: this one is waited for, not
  // fatal.
  pthread_kill(waiter.native_handle(), SIGTERM);  // NOLINT(bugprone-bad-signal-to-kill-thread)
  waiter.join();
  if (!asked) {
    err << "fettle: the system no longer lets this program accept connections; start it again\n";
    return 1;
  }
  return 0;
}

}  // namespace fettle::cli
