//! Reading and writing the bytes of messages and statements: little-endian numbers, counted texts and lists.

/// Reads from the front; every method answers `None` at the first thing that cannot be.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Reader<'a>(&'a [u8]);

impl<'a> Reader<'a> {
    pub(crate) fn new(bytes: &'a [u8]) -> Self {
        Self(bytes)
    }
    pub(crate) fn is_at_end(self) -> bool {
        self.0.is_empty()
    }
    pub(crate) fn take(&mut self, n: usize) -> Option<&'a [u8]> {
        let (head, tail) = self.0.split_at_checked(n)?;
        self.0 = tail;
        Some(head)
    }
    pub(crate) fn array<const N: usize>(&mut self) -> Option<[u8; N]> {
        self.take(N)?.try_into().ok()
    }
    pub(crate) fn byte(&mut self) -> Option<u8> {
        self.array().map(|[byte]| byte)
    }
    pub(crate) fn flag(&mut self) -> Option<bool> {
        self.byte().and_then(|byte| [false, true].get(usize::from(byte)).copied())
    }
    pub(crate) fn u16(&mut self) -> Option<u16> {
        self.array().map(u16::from_le_bytes)
    }
    pub(crate) fn u32(&mut self) -> Option<u32> {
        self.array().map(u32::from_le_bytes)
    }
    pub(crate) fn u64(&mut self) -> Option<u64> {
        self.array().map(u64::from_le_bytes)
    }
    pub(crate) fn bytes(&mut self) -> Option<&'a [u8]> {
        let n = usize::try_from(self.u32()?).ok()?;
        self.take(n)
    }
    pub(crate) fn text(&mut self, most: usize) -> Option<String> {
        let bytes = self.bytes().filter(|bytes| bytes.len() <= most)?;
        String::from_utf8(bytes.to_vec()).ok()
    }
    /// A list whose items each take at least one byte, so that a count cannot ask for more memory than was sent.
    pub(crate) fn list<T>(&mut self, item: impl Fn(&mut Self) -> Option<T>) -> Option<Vec<T>> {
        let n = usize::try_from(self.u32()?).ok().filter(|n| *n <= self.0.len())?;
        let mut items = Vec::new();
        for _ in 0..n {
            items.push(item(self)?);
        }
        Some(items)
    }
    pub(crate) fn option<T>(&mut self, item: impl Fn(&mut Self) -> Option<T>) -> Option<Option<T>> {
        if self.flag()? { item(self).map(Some) } else { Some(None) }
    }
}

/// Writes to the end.
#[derive(Debug, Default)]
pub(crate) struct Writer(pub(crate) Vec<u8>);

impl Writer {
    pub(crate) fn raw(&mut self, bytes: &[u8]) -> &mut Self {
        self.0.extend_from_slice(bytes);
        self
    }
    pub(crate) fn byte(&mut self, byte: u8) -> &mut Self {
        self.raw(&[byte])
    }
    pub(crate) fn flag(&mut self, yes: bool) -> &mut Self {
        self.byte(u8::from(yes))
    }
    pub(crate) fn count(&mut self, n: usize) -> &mut Self {
        // Nothing that is written comes near 4 GiB; what did would be refused by whoever reads it.
        self.raw(&u32::try_from(n).unwrap_or(u32::MAX).to_le_bytes())
    }
    pub(crate) fn bytes(&mut self, bytes: &[u8]) -> &mut Self {
        self.count(bytes.len()).raw(bytes)
    }
    /// Counted byte strings, counted.
    pub(crate) fn list(&mut self, items: &[Vec<u8>]) -> &mut Self {
        self.count(items.len());
        for item in items {
            self.bytes(item);
        }
        self
    }
    pub(crate) fn option(&mut self, bytes: Option<&[u8]>) -> &mut Self {
        self.flag(bytes.is_some()).raw(bytes.unwrap_or_default())
    }
}

/// Lower-case hexadecimal digits.
pub(crate) fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Cuts a name to what a message may hold, at a character.
pub(crate) fn cut(name: &str, most: usize) -> String {
    let end = (0..=most.min(name.len())).rev().find(|end| name.is_char_boundary(*end)).unwrap_or(0);
    name[..end].to_owned()
}
