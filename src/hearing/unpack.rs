//! A model that travels small is unpacked for speed.
//!
//! Five-bit weights (q5_1) make a model a third smaller than eight-bit ones (q8_0), but every use has to unpick their
//! bits; eight-bit weights go straight into the processor's own products, at about four fifths of the time. So five-bit
//! blocks are rewritten as eight-bit ones while the model is loaded, which takes a moment and loses next to nothing.

/// Values in a block of either kind.
const BLOCK: usize = 32;
/// A five-bit block: scale and least value (16-bit floats), the fifth bits, the low four bits.
const Q5_1: usize = 24;
/// An eight-bit block: scale (16-bit float) and values.
const Q8_0: usize = 34;

/// ggml's numbers for kinds of tensor, and for the file as a whole.
const TENSOR_F32: u32 = 0;
const TENSOR_F16: u32 = 1;
const TENSOR_Q5_1: u32 = 7;
const TENSOR_Q8_0: u32 = 8;
const FILE_Q5_1: u32 = 9;
const FILE_Q8_0: u32 = 7;
/// Where the header says which kind the file is.
const FILE_KIND_AT: usize = 44;
const HEADER: usize = 48;

/// The model with eight-bit weights in place of five-bit ones; none if it has no five-bit weights or is not as expected,
/// and then it is used as it stands.
pub(super) fn unpacked(model: &[u8]) -> Option<Vec<u8>> {
    let mut from = Cursor { bytes: model, at: 0 };
    let header = from.take(HEADER)?;
    let kind = u32::from_le_bytes(header[FILE_KIND_AT..].try_into().ok()?);
    if kind % 1000 != FILE_Q5_1 {
        return None;
    }
    let mut to = Vec::with_capacity(model.len() / Q5_1 * Q8_0 + HEADER);
    to.extend_from_slice(&header[..FILE_KIND_AT]);
    to.extend_from_slice(&(kind - FILE_Q5_1 + FILE_Q8_0).to_le_bytes());

    // Sound filters and words stay as they are.
    let rest = from.at;
    let (filters, bins) = (from.number()?, from.number()?);
    from.take(4usize.checked_mul(filters as usize)?.checked_mul(bins as usize)?)?;
    for _ in 0..from.number()? {
        let length = from.number()?;
        from.take(length as usize)?;
    }
    to.extend_from_slice(&model[rest..from.at]);

    while from.at < model.len() {
        let (dims, name, kind) = (from.number()?, from.number()?, from.number()?);
        let sizes = from.take((dims as usize).checked_mul(4)?)?;
        let values = sizes.chunks_exact(4).try_fold(1usize, |product, size| {
            product.checked_mul(u32::from_le_bytes(size.try_into().ok()?) as usize)
        })?;
        let name = from.take(name as usize)?;
        let bytes = match kind {
            TENSOR_F32 => values.checked_mul(4)?,
            TENSOR_F16 => values.checked_mul(2)?,
            TENSOR_Q5_1 => values / BLOCK * Q5_1,
            TENSOR_Q8_0 => values / BLOCK * Q8_0,
            _ => return None,
        };
        let weights = from.take(bytes)?;
        let new_kind = if kind == TENSOR_Q5_1 { TENSOR_Q8_0 } else { kind };
        to.extend_from_slice(&dims.to_le_bytes());
        to.extend_from_slice(&(name.len() as u32).to_le_bytes());
        to.extend_from_slice(&new_kind.to_le_bytes());
        to.extend_from_slice(sizes);
        to.extend_from_slice(name);
        if kind == TENSOR_Q5_1 {
            for block in weights.chunks_exact(Q5_1) {
                to.extend_from_slice(&eight_bit(block));
            }
        } else {
            to.extend_from_slice(weights);
        }
    }
    Some(to)
}

struct Cursor<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl<'a> Cursor<'a> {
    fn take(&mut self, length: usize) -> Option<&'a [u8]> {
        let taken = self.bytes.get(self.at..self.at.checked_add(length)?)?;
        self.at += length;
        Some(taken)
    }

    fn number(&mut self) -> Option<u32> {
        Some(u32::from_le_bytes(self.take(4)?.try_into().ok()?))
    }
}

/// One block rewritten. `block` is [`Q5_1`] bytes long.
fn eight_bit(block: &[u8]) -> [u8; Q8_0] {
    let scale = from_half(u16::from_le_bytes([block[0], block[1]]));
    let least = from_half(u16::from_le_bytes([block[2], block[3]]));
    let fifth = u32::from_le_bytes([block[4], block[5], block[6], block[7]]);
    let mut values = [0.0f32; BLOCK];
    for (i, low) in block[8..Q5_1].iter().enumerate() {
        let bit = |place: usize| ((fifth >> place) & 1) << 4;
        values[i] = (u32::from(low & 15) | bit(i)) as f32 * scale + least;
        values[i + BLOCK / 2] = (u32::from(low >> 4) | bit(i + BLOCK / 2)) as f32 * scale + least;
    }
    let greatest = values.iter().fold(0.0f32, |most, v| most.max(v.abs()));
    let step = greatest / 127.0;
    let inverse = if step > 0.0 { 1.0 / step } else { 0.0 };
    let mut out = [0u8; Q8_0];
    out[..2].copy_from_slice(&to_half(step).to_le_bytes());
    for (slot, value) in out[2..].iter_mut().zip(values) {
        *slot = (value * inverse).round() as i8 as u8;
    }
    out
}

/// A 16-bit float widened.
fn from_half(half: u16) -> f32 {
    let sign = u32::from(half >> 15) << 31;
    let (exponent, fraction) = (u32::from(half >> 10) & 31, u32::from(half) & 0x3ff);
    match exponent {
        0 => f32::from_bits(sign | (fraction as f32 * 2f32.powi(-24)).to_bits()),
        31 => f32::from_bits(sign | 0x7f80_0000 | fraction << 13),
        _ => f32::from_bits(sign | (exponent + 112) << 23 | fraction << 13),
    }
}

/// The nearest 16-bit float to a scale, which is never negative.
fn to_half(scale: f32) -> u16 {
    if scale < 2f32.powi(-14) {
        return (scale * 2f32.powi(24)).round_ties_even() as u16;
    }
    let bits = scale.to_bits();
    let even = (bits >> 13) & 1;
    let rounded = ((bits + 0xfff + even) >> 13).saturating_sub(112 << 10);
    rounded.min(0x7bff) as u16
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn halves_go_there_and_back() {
        for half in 0..0x7c00u16 {
            assert_eq!(to_half(from_half(half)), half, "{half:#x}");
        }
        assert_eq!(from_half(0xc000), -2.0);
        assert_eq!(to_half(1e9), 0x7bff, "the greatest there is");
        assert_eq!(to_half(0.0), 0);
    }

    #[test]
    fn a_block_keeps_its_values() {
        let mut block = [0u8; Q5_1];
        block[..2].copy_from_slice(&to_half(0.125).to_le_bytes());
        block[2..4].copy_from_slice(&0xc000u16.to_le_bytes());
        block[4..8].copy_from_slice(&0xffff_0000u32.to_le_bytes());
        for (i, byte) in block[8..].iter_mut().enumerate() {
            *byte = i as u8 | (15 - i as u8) << 4;
        }
        let eight = eight_bit(&block);
        let step = from_half(u16::from_le_bytes([eight[0], eight[1]]));
        for (i, value) in eight[2..].iter().enumerate() {
            let five = if i < 16 { i } else { 16 + 31 - i };
            let expected = five as f32 * 0.125 - 2.0;
            assert!((f32::from(*value as i8) * step - expected).abs() <= step * 0.51, "{i}");
        }
    }

    #[test]
    fn the_model_is_rewritten_whole_and_others_are_left() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/models/base-q5_1.ggml");
        let model = std::fs::read(path).expect("the carried model");
        let eight = unpacked(&model).expect("five-bit weights");
        assert!(eight.len() > model.len() * 13 / 10);
        assert_eq!(unpacked(&eight), None, "already eight-bit");
        assert_eq!(unpacked(&model[..model.len() - 1]), None, "cut short");
        assert_eq!(unpacked(b"lmgg"), None);
    }
}
