#include "cli/record_command.h"

#include <chrono>
#include <filesystem>
#include <optional>

#include <fcntl.h>
#include <fmt/chrono.h>
#include <fmt/format.h>
#include <unistd.h>

#include "build/codec.h"
#include "build/strict_json.h"
#include "cli/input.h"
#include "cli/problems.h"
#include "cli/whole_file.h"
#include "record/record.h"
#include "record/seal.h"
#include "stations/prove.h"

namespace fettle::cli {
namespace {

constexpr std::size_t most_bytes_of_a_key = 1000;

std::string now_text() {
  const auto now = std::chrono::system_clock::to_time_t(std::chrono::system_clock::now());
  return fmt::format("{:%Y-%m-%d %H:%M} UTC", fmt::gmtime(now));
}

ExitCode make_key(const RecordRequest& request, std::ostream& out, std::ostream& err) {
  // Never over another file, and for nobody else to read.
  const int file = ::open(request.new_key.c_str(), O_WRONLY | O_CREAT | O_EXCL, 0600);
  if (file < 0) {
    err << "fettle: " << request.new_key << ": a new key cannot be written there; name a file that does not "
        << "exist yet, in a folder you may write to\n";
    return ExitCode::bad_input;
  }
  const record::ShopKey key = record::new_shop_key();
  const std::string text = record::to_text(key);
  const bool written =
      ::write(file, text.data(), text.size()) == static_cast<ssize_t>(text.size()) && ::fsync(file) == 0;
  if (::close(file) != 0 || !written) {
    std::filesystem::remove(request.new_key);
    err << "fettle: " << request.new_key << ": the key could not be written\n";
    return ExitCode::bad_input;
  }
  out << "Whoever has " << request.new_key << " can sign as this shop: keep it, and keep it to yourself.\n"
      << "Others check the shop's records with this key: " << record::open_half(key) << '\n';
  return ExitCode::all_holds;
}

std::string build_digest(std::string_view file) {
  const auto document = nlohmann::ordered_json::parse(record::build_within(file), nullptr, false);
  return document.is_discarded() ? std::string() : record::digest_of(document.dump());
}

ExitCode check_record(const RecordRequest& request, std::istream& in, std::ostream& out, std::ostream& err) {
  const InputText input = read_input(request.verify, in, build::JsonBounds{}.bytes);
  if (!input.text) {
    err << "fettle: " << input.problem << '\n';
    return ExitCode::bad_input;
  }
  const record::SealCheck check = record::check_seal(*input.text);
  switch (check.state) {
    case record::SealState::none:
      err << "fettle: " << request.verify
          << " carries no seal on its last line: it is no record, or has been "
          << "altered\n";
      return ExitCode::something_fails;
    case record::SealState::altered:
      err << "fettle: " << request.verify << " has been altered since it was written\n";
      return ExitCode::something_fails;
    case record::SealState::unaltered:
      out << "Unaltered since its seal was put on, but not signed: whoever alters a record can seal it "
             "anew.\n";
      break;
    case record::SealState::signed_by:
      out << "Unaltered, and signed with the key " << check.open_key << '\n';
      break;
  }
  out << "Digest of its build: " << record::in_groups(build_digest(*input.text)) << '\n';
  if (!request.open_key.empty() && check.open_key != request.open_key) {
    err << "fettle: it is not signed with the key " << request.open_key << '\n';
    return ExitCode::something_fails;
  }
  return ExitCode::all_holds;
}

/// The key to sign with; the outer optional is empty where it cannot be had.
std::optional<std::optional<record::ShopKey>> key_of(const RecordRequest& request, std::istream& in,
                                                     std::ostream& err) {
  if (request.key.empty()) {
    return std::optional<record::ShopKey>();
  }
  const InputText text = read_input(request.key, in, most_bytes_of_a_key);
  const auto key = text.text ? record::read_shop_key(*text.text) : std::nullopt;
  if (!key) {
    err << "fettle: " << request.key << ": "
        << (text.text ? "this is no key of a shop; one is made by fettle record --new-key FILE"
                      : text.problem)
        << '\n';
    return std::nullopt;
  }
  return std::optional(key);
}

}  // namespace

ExitCode record_command(const RecordRequest& request, std::istream& in, std::ostream& out,
                        std::ostream& err) {
  if (!request.new_key.empty()) {
    return make_key(request, out, err);
  }
  if (!request.verify.empty()) {
    return check_record(request, in, out, err);
  }
  const auto key = key_of(request, in, err);
  if (!key) {
    return ExitCode::bad_input;
  }
  const auto build = read_build_file(request.path, false, in, out, err);
  if (!build) {
    return ExitCode::bad_input;
  }
  const std::string record = record::sealed(
      record::record_html(*build, stations::prove(*build), {now_text(), request.shop, request.system}),
      *key ? &**key : nullptr);
  if (request.output == "-") {
    out << record;
    return ExitCode::all_holds;
  }
  if (const auto problem = write_whole_file(request.output, record)) {
    err << "fettle: " << *problem << '\n';
    return ExitCode::bad_input;
  }
  return ExitCode::all_holds;
}

}  // namespace fettle::cli
