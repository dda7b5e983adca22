use std::collections::VecDeque;

/// The last so much of the sound.
#[derive(Debug)]
pub(crate) struct Recent {
    samples: VecDeque<f32>,
    most: usize,
    channels: usize,
    /// Frames that came since the start, those forgotten as well.
    frames: u64,
}

impl Recent {
    /// Keeps up to `frames` of so many channels.
    pub(crate) fn new(channels: usize, frames: usize) -> Self {
        Self { samples: VecDeque::new(), most: frames * channels, channels, frames: 0 }
    }

    /// Takes whole frames; the oldest go.
    pub(crate) fn push(&mut self, interleaved: &[f32]) {
        self.frames += (interleaved.len() / self.channels) as u64;
        let keep = &interleaved[interleaved.len().saturating_sub(self.most)..];
        let beyond = (self.samples.len() + keep.len()).saturating_sub(self.most);
        self.samples.drain(..beyond);
        self.samples.extend(keep);
    }

    /// Forgets all that is there.
    pub(crate) fn clear(&mut self) {
        self.samples.clear();
    }

    /// The sound, in two parts.
    pub(crate) fn parts(&self) -> (&[f32], &[f32]) {
        self.samples.as_slices()
    }

    /// How many frames are there.
    pub(crate) fn len(&self) -> u64 {
        (self.samples.len() / self.channels) as u64
    }

    /// Frames that came since the start.
    pub(crate) fn frames(&self) -> u64 {
        self.frames
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_oldest_go() {
        let mut recent = Recent::new(2, 3);
        recent.push(&[1.0, 2.0, 3.0, 4.0]);
        recent.push(&[5.0, 6.0, 7.0, 8.0]);
        let all = |r: &Recent| [r.parts().0, r.parts().1].concat();
        assert_eq!(all(&recent), [3.0, 4.0, 5.0, 6.0, 7.0, 8.0]);
        let long: Vec<f32> = (0..20).map(|k| k as f32).collect();
        recent.push(&long);
        assert_eq!(all(&recent), [14.0, 15.0, 16.0, 17.0, 18.0, 19.0]);
        assert_eq!((recent.len(), recent.frames()), (3, 14));
        recent.clear();
        assert_eq!((recent.len(), recent.frames()), (0, 14));
    }
}
