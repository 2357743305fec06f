// How long a change of one reading takes: serve_bench [CHANGES]
// A server in this process, one client on a kept connection, builds of two sizes. "answer" is the time within
// the server from a whole request to a whole answer (ledger with its sync to disk, proof, JSON), "round trip"
// what the client waits over loopback. Prints medians and 99th percentiles, in milliseconds.
#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <optional>
#include <thread>
#include <vector>

#include <fmt/format.h>
#include <unistd.h>

#include "build/codec.h"
#include "build/small_build.h"
#include "serve/proofs.h"
#include "serve/server.h"
#include "stations/pictures.h"
#include "stations/prove.h"
#include "stations/report_json.h"
#include "support/invented_shop.h"
// After Eigen: it brings in a macro of the resolver that Eigen stumbles over.
#include <httplib.h>

namespace {

using Clock = std::chrono::steady_clock;
using nlohmann::json;

double milliseconds(Clock::duration time) {
  return std::chrono::duration<double, std::milli>(time).count();
}

double percentile(std::vector<double> times, double part) {
  std::sort(times.begin(), times.end());
  return times[static_cast<std::size_t>(part * static_cast<double>(times.size() - 1))];
}

void print(const std::string& what, const std::vector<double>& times) {
  fmt::print("  {:32} p50 {:8.2f}   p99 {:8.2f}\n", what, percentile(times, 0.5), percentile(times, 0.99));
}

template <class Work>
auto timed(std::vector<double>& times, const Work& work) {
  const auto begun = Clock::now();
  auto made = work();
  times.push_back(milliseconds(Clock::now() - begun));
  return made;
}

/// What a proof is made of, one part after the other.
class Parts {
 public:
  explicit Parts(const json& document)
      : document_(document), memory_(std::make_shared<fettle::stations::Memory>()) {}

  void measure() {
    using namespace fettle;
    const auto read = timed(read_, [&] { return build::read_document(document_); });
    const auto sources =
        timed(sources_, [&] { return std::make_unique<stations::Sources>(*read.build, memory_); });
    const auto report = timed(prove_, [&] { return stations::prove(*sources); });
    timed(report_, [&] { return stations::report_json(report); });
    timed(pictures_, [&] { return stations::cam_picture(*sources, report).dump(); });
    stations::Report other = report;
    for (stations::Finding& finding : other.findings) {
      finding.value = finding.value.value_or(0) + 1;
    }
    timed(moved_, [&] { return serve::moved_json(report, other); });
  }

  void print_all() const {
    print("  document read", read_);
    print("  sources, sweeps remembered", sources_);
    print("  findings and advice", prove_);
    print("  report as text", report_);
    print("cam picture as text, asked apart", pictures_);
    print("what moved, everything", moved_);
  }

 private:
  const json& document_;
  std::shared_ptr<fettle::stations::Memory> memory_;
  std::vector<double> read_, sources_, prove_, report_, pictures_, moved_;
};

json body_of(std::int64_t version, int i) {
  return {
      {"base", version},
      {"by", "bench"},
      {"device", "bench"},
      {"operations", {{{"path", "/readings/r1/wheel"}, {"value", fmt::format("{}.{} deg", i % 2, i % 10)}}}}};
}

/// Minutes of work on the other cores, begun. @returns nothing where the build cannot be pulled
std::optional<std::string> start_long_pull(httplib::Client& client, const std::string& engine) {
  const json order{{"from", "1000 rpm"}, {"to", "4180 rpm"}, {"step", "20 rpm"}};
  const auto started = client.Post("/api/engines/" + engine + "/pulls", order.dump(), "application/json");
  if (started->status != 202) {
    return std::nullopt;
  }
  std::string id = json::parse(started->body)["id"];
  while (json::parse(client.Get("/api/pulls/" + id)->body)["done"] == 0) {
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
  return id;
}

/// Changes of one reading written to a ledger whose documents nobody proves.
std::vector<double> write_alone(const std::filesystem::path& file, const json& document, int changes) {
  fettle::ledger::Ledger ledger(file, fettle::serve::build_ledger_options());
  const fettle::ledger::Writer writer{"bench", "bench", {}};
  const auto made = std::get<fettle::ledger::Applied>(ledger.create("bench", document, writer));
  auto version = made.version;
  std::vector<double> writes;
  for (int i = 0; i < changes; ++i) {
    const auto begun = Clock::now();
    const auto result = ledger.change(
        made.engine, version, {{"/readings/r1/wheel", fmt::format("{}.{} deg", i % 2, i % 10)}}, writer);
    writes.push_back(milliseconds(Clock::now() - begun));
    version = std::get<fettle::ledger::Applied>(result).version;
  }
  return writes;
}

void measure(const std::string& name, const json& document, int changes) {
  const auto folder =
      std::filesystem::temp_directory_path() / fmt::format("fettle-serve-bench-{}", ::getpid());
  std::filesystem::create_directories(folder);
  {
    fettle::serve::ServerOptions options;
    options.ledger = folder / "bench.fettle";
    options.port = 0;
    fettle::serve::Server server(options);
    std::thread runner([&] { server.run(); });
    httplib::Client client("127.0.0.1", server.port());
    client.set_keep_alive(true);
    client.set_tcp_nodelay(true);
    const auto made = client.Post("/api/engines", json{{"document", document}}.dump(), "application/json");
    const json engine = json::parse(made->body);
    const std::string id = engine["id"];
    const std::string path = "/api/engines/" + id + "/changes";
    auto version = engine["version"].get<std::int64_t>();
    std::vector<double> trips;
    std::vector<double> answers;
    std::vector<double> proofs;
    std::vector<double> beside_a_pull;
    std::size_t bytes = 0;
    const auto round_trips = [&](std::vector<double>& times) {
      for (int i = 0; i < changes; ++i) {
        const std::string body = body_of(version, i).dump();
        const auto begun = Clock::now();
        const auto answer = client.Post(path, body, "application/json");
        times.push_back(milliseconds(Clock::now() - begun));
        bytes = answer->body.size();
        version = json::parse(answer->body)["version"].get<std::int64_t>();
      }
    };
    round_trips(trips);
    if (const auto pull = start_long_pull(client, id)) {
      round_trips(beside_a_pull);
      const std::string state = json::parse(client.Get("/api/pulls/" + *pull)->body)["state"];
      fmt::print("the pull beside it: {}\n", state);
      client.Post("/api/pulls/" + *pull + "/cancel", "{}", "application/json");
      while (json::parse(client.Get("/api/pulls/" + *pull)->body)["state"] == "running") {
        std::this_thread::sleep_for(std::chrono::milliseconds(20));
      }
    }
    for (int i = 0; i < changes; ++i) {
      const std::string body = body_of(version, i).dump();
      const auto begun = Clock::now();
      const auto answer = server.shop().answer({"POST", path, {}, body});
      answers.push_back(milliseconds(Clock::now() - begun));
      version = json::parse(answer.body)["version"].get<std::int64_t>();
    }
    const json now = server.shop().ledger().engine(id)->document;
    const std::vector<double> writes = write_alone(folder / "alone.fettle", now, changes);
    Parts parts(now);
    for (int i = 0; i < std::min(changes, 50); ++i) {
      const auto begun = Clock::now();
      const auto proof = server.shop().proofs().of(now);
      proofs.push_back(milliseconds(Clock::now() - begun));
      parts.measure();
    }
    fmt::print("{}: {} readings, {} kB of document, {} kB of answer, {} changes\n", name,
               document["readings"].size(), document.dump().size() / 1000, bytes / 1000, changes);
    print("round trip", trips);
    if (!beside_a_pull.empty()) {
      print("round trip, a pull running", beside_a_pull);
    }
    print("answer", answers);
    print("of it: ledger", writes);
    print("of it: proof and its JSON", proofs);
    parts.print_all();
    server.stop();
    runner.join();
  }
  std::filesystem::remove_all(folder);
}

}  // namespace

int main(int argc, char** argv) {
  const int changes = argc > 1 ? std::max(1, std::atoi(argv[1])) : 200;
  measure("two stops and a point", fettle::build::small_document(), changes);
  fettle::invented::Shop shop(5);
  measure("V8 with all lobes swept", fettle::build::write_build(shop.full_build()), std::max(1, changes / 4));
  return 0;
}
