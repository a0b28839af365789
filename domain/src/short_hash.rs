//! A short hash for keys of ours, and for putting like beside like.

use std::hash::Hasher;

/// A turn and a multiplication for eight bytes at a time; the factor is odd and has its bits well
/// spread, and nothing else hangs on it. Whoever can choose the keys can make them collide.
pub(crate) struct ShortHash(u64);

impl Default for ShortHash {
    fn default() -> Self {
        Self(0xcbf2_9ce4_8422_2325)
    }
}

impl ShortHash {
    const fn mix(&mut self, word: u64) {
        self.0 = (self.0.rotate_left(5) ^ word).wrapping_mul(0x517c_c1b7_2722_0a95);
    }
}

impl Hasher for ShortHash {
    fn write(&mut self, bytes: &[u8]) {
        let (words, rest) = bytes.as_chunks::<8>();
        for word in words {
            self.mix(u64::from_le_bytes(*word));
        }
        // What is left over, with some before it again where there is any.
        match bytes.last_chunk::<8>() {
            Some(last) if !rest.is_empty() => self.mix(u64::from_le_bytes(*last)),
            Some(_) => {}
            None => rest.iter().for_each(|byte| self.mix(u64::from(*byte))),
        }
    }

    fn write_u8(&mut self, byte: u8) {
        self.mix(u64::from(byte));
    }

    fn finish(&self) -> u64 {
        self.0 ^ (self.0 >> 32)
    }
}
