//! The scheme `photo:`: `photo://localhost/<hash>` is the stored picture of that content hash, `<hash>/medium` and
//! `<hash>/small` are smaller copies of it.

use crate::door::Core;
use tauri::http::{Request, Response, StatusCode};
use tauri::{Manager, Runtime, UriSchemeContext, UriSchemeResponder};

/// Answers on a thread of its own, because a picture is read from the disk.
pub(crate) fn serve<R: Runtime>(
    context: UriSchemeContext<'_, R>,
    request: Request<Vec<u8>>,
    responder: UriSchemeResponder,
) {
    let core = context.app_handle().try_state::<Core>().map(|core| core.inner().clone());
    tauri::async_runtime::spawn_blocking(move || {
        let photo = name(request.uri().path()).and_then(|name| core?.session()?.photo(name));
        responder.respond(answer(photo));
    });
}

/// The name in the path: 64 hexadecimal digits, and one of two words for a smaller copy; nothing else, so that no
/// path leads anywhere else.
fn name(path: &str) -> Option<&str> {
    let name = path.strip_prefix('/')?;
    let hash = name.strip_suffix("/small").or_else(|| name.strip_suffix("/medium")).unwrap_or(name);
    let hexadecimal = hash.bytes().all(|byte| byte.is_ascii_digit() || (b'a'..=b'f').contains(&byte));
    (hash.len() == 64 && hexadecimal).then_some(name)
}

fn answer(photo: Option<Vec<u8>>) -> Response<Vec<u8>> {
    let status = if photo.is_some() { StatusCode::OK } else { StatusCode::NOT_FOUND };
    let bytes = photo.unwrap_or_default();
    let kind = kind(&bytes);
    let mut response = Response::new(bytes);
    *response.status_mut() = status;
    let headers = response.headers_mut();
    headers.insert("content-type", tauri::http::HeaderValue::from_static(kind));
    headers.insert("x-content-type-options", tauri::http::HeaderValue::from_static("nosniff"));
    // Named by its content, a picture never changes.
    headers.insert(
        "cache-control",
        tauri::http::HeaderValue::from_static("private, max-age=31536000, immutable"),
    );
    response
}

/// The kind of a picture by its first bytes; anything else is not shown.
fn kind(bytes: &[u8]) -> &'static str {
    match bytes {
        [0xff, 0xd8, 0xff, ..] => "image/jpeg",
        [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1a, b'\n', ..] => "image/png",
        [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', b'B', b'P', ..] => "image/webp",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_whole_hash_is_a_name() {
        let good = format!("/{}", "0af9".repeat(16));
        assert_eq!(name(&good), Some(&good[1..]));
        let small = format!("{good}/small");
        assert_eq!(name(&small), Some(&small[1..]));
        for bad in [
            "/",
            "",
            "/../../etc/passwd",
            "/0AF9",
            &good[..64],
            &format!("{good}0"),
            &format!("{good}/large"),
            &good.to_uppercase(),
        ] {
            assert_eq!(name(bad), None, "{bad}");
        }
    }

    /// Signatures: JPEG by ITU-T T.81 (B.1.1.3, SOI and a marker), PNG by its specification 5.2, WebP by RFC 9649.
    #[test]
    fn pictures_are_known_by_their_first_bytes() {
        assert_eq!(kind(&[0xff, 0xd8, 0xff, 0xe0, 0]), "image/jpeg");
        assert_eq!(kind(b"\x89PNG\r\n\x1a\nrest"), "image/png");
        assert_eq!(kind(b"RIFF\x10\0\0\0WEBPVP8 "), "image/webp");
        assert_eq!(kind(b"<svg onload=x>"), "application/octet-stream");
    }

    #[test]
    fn what_is_missing_is_not_found() {
        assert_eq!(answer(None).status(), StatusCode::NOT_FOUND);
        assert_eq!(answer(Some(vec![1])).status(), StatusCode::OK);
    }
}
