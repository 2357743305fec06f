#include "record/seal.h"

#include <regex>
#include <stdexcept>
#include <vector>

#include <fmt/format.h>
#include <sodium.h>

namespace fettle::record {
namespace {

using Bytes = std::vector<unsigned char>;

void start_sodium() {
  if (sodium_init() < 0) {
    throw std::runtime_error("libsodium cannot be started");
  }
}

const unsigned char* bytes_of(std::string_view text) {
  return reinterpret_cast<const unsigned char*>(text.data());
}

std::string hex(const unsigned char* bytes, std::size_t size) {
  std::string text(size * 2 + 1, '\0');
  sodium_bin2hex(text.data(), text.size(), bytes, size);
  text.pop_back();
  return text;
}

/// Exactly `size` bytes, else nothing.
std::optional<Bytes> from_hex(std::string_view text, std::size_t size) {
  Bytes bytes(size);
  std::size_t length = 0;
  const char* end = nullptr;
  const int result =
      sodium_hex2bin(bytes.data(), bytes.size(), text.data(), text.size(), nullptr, &length, &end);
  if (result != 0 || length != size || end != text.data() + text.size()) {
    return std::nullopt;
  }
  return bytes;
}

/// What is signed: the digest under a name, so that a signature of something else never passes for it.
std::string signed_text(std::string_view digest) {
  return fmt::format("fettle record 1\n{}", digest);
}

constexpr std::string_view seal_begins = "<!-- fettle record 1; digest ";

}  // namespace

std::string digest_of(std::string_view bytes) {
  start_sodium();
  std::array<unsigned char, crypto_generichash_BYTES> digest{};
  crypto_generichash(digest.data(), digest.size(), bytes_of(bytes), bytes.size(), nullptr, 0);
  return hex(digest.data(), digest.size());
}

std::string in_groups(std::string_view digest) {
  std::string grouped;
  for (std::size_t i = 0; i < digest.size(); ++i) {
    grouped += i > 0 && i % 4 == 0 ? " " : "";
    grouped += digest[i];
  }
  return grouped;
}

ShopKey new_shop_key() {
  start_sodium();
  ShopKey key;
  std::array<unsigned char, crypto_sign_PUBLICKEYBYTES> open{};
  crypto_sign_keypair(open.data(), key.secret.data());
  return key;
}

std::string to_text(const ShopKey& key) {
  return hex(key.secret.data(), key.secret.size()) + "\n";
}

std::optional<ShopKey> read_shop_key(std::string_view text) {
  start_sodium();
  while (!text.empty() && (text.back() == '\n' || text.back() == '\r' || text.back() == ' ')) {
    text.remove_suffix(1);
  }
  const auto bytes = from_hex(text, crypto_sign_SECRETKEYBYTES);
  if (!bytes) {
    return std::nullopt;
  }
  // The second half of a key follows from the first: one that does not is no key.
  ShopKey key;
  std::array<unsigned char, crypto_sign_PUBLICKEYBYTES> open{};
  crypto_sign_seed_keypair(open.data(), key.secret.data(), bytes->data());
  return std::equal(bytes->begin(), bytes->end(), key.secret.begin()) ? std::optional(key) : std::nullopt;
}

std::string open_half(const ShopKey& key) {
  start_sodium();
  std::array<unsigned char, crypto_sign_PUBLICKEYBYTES> open{};
  crypto_sign_ed25519_sk_to_pk(open.data(), key.secret.data());
  return hex(open.data(), open.size());
}

std::string sealed(std::string document, const ShopKey* key) {
  const std::string digest = digest_of(document);
  document += seal_begins;
  document += digest;
  if (key != nullptr) {
    const std::string text = signed_text(digest);
    std::array<unsigned char, crypto_sign_BYTES> signature{};
    crypto_sign_detached(signature.data(), nullptr, bytes_of(text), text.size(), key->secret.data());
    document +=
        fmt::format("; key {}; signature {}", open_half(*key), hex(signature.data(), signature.size()));
  }
  document += " -->\n";
  return document;
}

SealCheck check_seal(std::string_view file) {
  SealCheck check;
  const std::size_t place = file.rfind(seal_begins);
  check.digest = digest_of(file.substr(0, place));
  if (place == std::string_view::npos) {
    return check;
  }
  static const std::regex seal(
      "([0-9a-f]{64})(?:; key ([0-9a-f]{64}); signature ([0-9a-f]{128}))? -->\r?\n?");
  const std::string rest(file.substr(place + seal_begins.size()));
  std::smatch parts;
  if (!std::regex_match(rest, parts, seal)) {
    return check;  // something stands after it: no seal of this text
  }
  if (parts[1].str() != check.digest) {
    check.state = SealState::altered;
    return check;
  }
  if (!parts[2].matched) {
    check.state = SealState::unaltered;
    return check;
  }
  const auto key = from_hex(parts[2].str(), crypto_sign_PUBLICKEYBYTES);
  const auto signature = from_hex(parts[3].str(), crypto_sign_BYTES);
  const std::string text = signed_text(check.digest);
  const bool holds =
      key && signature &&
      crypto_sign_verify_detached(signature->data(), bytes_of(text), text.size(), key->data()) == 0;
  check.state = holds ? SealState::signed_by : SealState::altered;
  check.open_key = holds ? parts[2].str() : "";
  return check;
}

}  // namespace fettle::record
