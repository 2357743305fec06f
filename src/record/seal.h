#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>

/// Proof that a record, or the build in it, is what was handed over: digests by BLAKE2b (RFC 7693, 256 bits)
/// and signatures by Ed25519 (RFC 8032), both by libsodium.
namespace fettle::record {

/// 64 hexadecimal digits.
std::string digest_of(std::string_view bytes);
/// The same in groups of four, to be read off paper.
std::string in_groups(std::string_view digest);

/// The shop's key: who has it can sign records. Its file holds it as 128 hexadecimal digits on one line.
struct ShopKey {
  std::array<unsigned char, 64> secret{};
};
ShopKey new_shop_key();
std::string to_text(const ShopKey& key);
/// Nothing where the text is no key.
std::optional<ShopKey> read_shop_key(std::string_view text);
/// What others check signatures with: 64 hexadecimal digits.
std::string open_half(const ShopKey& key);

/// The document with one last line: its digest, and with a key the signature of that digest.
std::string sealed(std::string document, const ShopKey* key);

enum class SealState {
  none,       ///< there is no seal on the last line
  altered,    ///< the text is not the one the seal was put on, or the signature is not of that key
  unaltered,  ///< nobody has vouched for it: whoever alters the text can also put a new seal on
  signed_by   ///< unaltered, and the holder of the key vouches for it
};

struct SealCheck {
  SealState state = SealState::none;
  std::string digest;    ///< of the text as it is
  std::string open_key;  ///< of a signature that holds
};
SealCheck check_seal(std::string_view file);

}  // namespace fettle::record
