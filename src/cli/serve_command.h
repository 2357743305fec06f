#pragma once

#include <iosfwd>
#include <string>

namespace fettle::cli {

struct ServeRequest {
  std::string ledger;    ///< empty: default_ledger()
  int port = 0;
  bool demo = false;     ///< load the example builds when the ledger is empty
  std::string examples;  ///< folder to take them from; empty: those within the program
};

/// Serves until SIGINT or SIGTERM. Prints the address on one line to `out` when it is ready.
/// @returns 0 after a signal, 1 when the system ended it, 2 when it could not begin
int serve_command(const ServeRequest& request, std::ostream& out, std::ostream& err);

}  // namespace fettle::cli
