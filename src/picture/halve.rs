//! Halving a picture for the next level.

use rayon::prelude::*;

use crate::pixels::{Channels, Pixels};

/// The picture at half its width and height, rounded up: each pixel the mean of a square of 2 × 2.
///
/// At an odd right or lower edge the mean is over the two pixels, or the one, that are there. Means
/// are taken of the encoded values, as paint programs do when zoomed out (common practice), and
/// rounded half up.
pub(crate) fn halve(picture: &Pixels) -> Pixels {
    match picture.channels() {
        Channels::Grey => halve_channels::<1>(picture),
        Channels::Rgb => halve_channels::<3>(picture),
        Channels::RgbaPremultiplied => halve_channels::<4>(picture),
    }
}

fn halve_channels<const N: usize>(picture: &Pixels) -> Pixels {
    let half = picture.size().halved();
    let (row, half_row) = (picture.size().width as usize * N, half.width as usize * N);
    let mut samples = vec![0; half_row * half.height as usize];
    let pairs = picture.samples().par_chunks(2 * row);
    samples.par_chunks_mut(half_row).zip(pairs).for_each(|(out, pair)| {
        mean_of_pair::<N>(row, pair, out);
    });
    Pixels::new(half, picture.channels(), samples).expect("halving rounds up and keeps channels")
}

/// The halving of the halving, without the first one as a whole beside it.
pub(crate) fn quarter(picture: &Pixels) -> Pixels {
    const ROWS: usize = 64;
    let (channels, size) = (picture.channels(), picture.size().halved().halved());
    let [row, quarter_row] =
        [picture.size(), size].map(|size| size.width as usize * channels.count());
    let mut samples = vec![0; quarter_row * size.height as usize];
    let stripes = picture.samples().par_chunks(ROWS * row);
    samples.par_chunks_mut(ROWS / 4 * quarter_row).zip(stripes).for_each(|(out, rows)| {
        quarter_rows(channels, row, rows, out);
    });
    Pixels::new(size, channels, samples).expect("halving rounds up and keeps channels")
}

/// Halves rows of `row` bytes twice, the first four to the first of `out`, and so on; as [`quarter`] does.
pub(crate) fn quarter_rows(channels: Channels, row: usize, rows: &[u8], out: &mut [u8]) {
    let half_row = (row / channels.count()).div_ceil(2) * channels.count();
    let mut half = vec![0; half_row * (rows.len() / row).div_ceil(2)];
    halve_rows(channels, row, rows, &mut half);
    halve_rows(channels, half_row, &half, out);
}

/// Halves two rows to one.
pub(crate) fn halve_two(channels: Channels, upper: &[u8], lower: &[u8], out: &mut [u8]) {
    match channels {
        Channels::Grey => mean_of_rows::<1>(upper, lower, out),
        Channels::Rgb => mean_of_rows::<3>(upper, lower, out),
        Channels::RgbaPremultiplied => mean_of_rows::<4>(upper, lower, out),
    }
}

/// Halves rows of `row` bytes, the first two to the first of `out`, and so on; as [`halve`] does.
pub(crate) fn halve_rows(channels: Channels, row: usize, rows: &[u8], out: &mut [u8]) {
    let half_row = (row / channels.count()).div_ceil(2) * channels.count();
    for (out, pair) in out.chunks_mut(half_row).zip(rows.chunks(2 * row)) {
        match channels {
            Channels::Grey => mean_of_pair::<1>(row, pair, out),
            Channels::Rgb => mean_of_pair::<3>(row, pair, out),
            Channels::RgbaPremultiplied => mean_of_pair::<4>(row, pair, out),
        }
    }
}

/// Of two rows, or of the last one alone.
fn mean_of_pair<const N: usize>(row: usize, pair: &[u8], out: &mut [u8]) {
    let (upper, lower) = pair.split_at(row);
    mean_of_rows::<N>(upper, if lower.is_empty() { upper } else { lower }, out);
}

fn mean_of_rows<const N: usize>(upper: &[u8], lower: &[u8], out: &mut [u8]) {
    let (upper, lower) = (upper.as_chunks::<N>().0, lower.as_chunks::<N>().0);
    let (out, _) = out.as_chunks_mut::<N>();
    let (upper_pairs, upper_rest) = upper.as_chunks::<2>();
    let (lower_pairs, lower_rest) = lower.as_chunks::<2>();
    for ((out, [a, b]), [c, d]) in out.iter_mut().zip(upper_pairs).zip(lower_pairs) {
        *out = mean(a, b, c, d);
    }
    if let ([a], [c], Some(out)) = (upper_rest, lower_rest, out.last_mut()) {
        // A pixel counted twice leaves the mean of what is there.
        *out = mean(a, a, c, c);
    }
}

fn mean<const N: usize>(a: &[u8; N], b: &[u8; N], c: &[u8; N], d: &[u8; N]) -> [u8; N] {
    let wide = u16::from;
    std::array::from_fn(|i| ((wide(a[i]) + wide(b[i]) + wide(c[i]) + wide(d[i]) + 2) / 4) as u8)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pixels::Size;

    fn grey(width: u32, height: u32, samples: &[u8]) -> Pixels {
        Pixels::new(Size { width, height }, Channels::Grey, samples.to_vec()).unwrap()
    }

    #[test]
    fn a_square_of_four_gives_its_rounded_mean() {
        assert_eq!(halve(&grey(2, 2, &[0, 1, 0, 1])), grey(1, 1, &[1]));
        assert_eq!(halve(&grey(2, 2, &[255, 255, 255, 254])), grey(1, 1, &[255]));
    }

    #[test]
    fn odd_edges_average_only_what_is_there() {
        let picture = grey(3, 3, &[0, 4, 10, 8, 12, 30, 100, 200, 7]);
        assert_eq!(halve(&picture), grey(2, 2, &[6, 20, 150, 7]));
    }

    #[test]
    fn a_line_of_pixels_halves_to_a_line() {
        assert_eq!(halve(&grey(1, 4, &[0, 10, 20, 40])), grey(1, 2, &[5, 30]));
        assert_eq!(halve(&grey(4, 1, &[0, 10, 20, 40])), grey(2, 1, &[5, 30]));
        assert_eq!(halve(&grey(1, 1, &[9])), grey(1, 1, &[9]));
    }

    #[test]
    fn channels_do_not_mix() {
        let size = Size { width: 2, height: 1 };
        let picture = Pixels::new(size, Channels::Rgb, vec![0, 100, 200, 2, 102, 202]).unwrap();
        assert_eq!(halve(&picture).samples(), [1, 101, 201]);
    }
}
