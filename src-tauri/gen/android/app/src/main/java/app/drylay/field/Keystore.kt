package app.drylay.field

import android.security.keystore.KeyGenParameterSpec
import android.security.keystore.KeyProperties
import android.util.Base64
import java.security.GeneralSecurityException
import java.security.KeyStore
import javax.crypto.Cipher
import javax.crypto.KeyGenerator
import javax.crypto.SecretKey
import javax.crypto.spec.GCMParameterSpec

/**
 * Locks short texts by a key that never leaves the phone's keystore (AES in Galois/Counter Mode, NIST SP 800-38D). A locked
 * text is Base64 of the nonce (12 bytes), the text and its tag (16 bytes). Whoever copies the app's files has only that.
 */
object Keystore {
  private const val STORE = "AndroidKeyStore"
  private const val KEY = "device"
  private const val CIPHER = "AES/GCM/NoPadding"
  private const val NONCE_BYTES = 12
  private const val TAG_BITS = 128

  fun lock(text: String): String {
    val cipher = Cipher.getInstance(CIPHER)
    cipher.init(Cipher.ENCRYPT_MODE, key() ?: newKey())
    val locked = cipher.iv + cipher.doFinal(text.toByteArray(Charsets.UTF_8))
    return Base64.encodeToString(locked, Base64.NO_WRAP)
  }

  fun unlock(locked: String): String {
    val bytes = Base64.decode(locked, Base64.NO_WRAP)
    if (bytes.size <= NONCE_BYTES) throw GeneralSecurityException("This was not locked here.")
    val key = key() ?: throw GeneralSecurityException("The phone's keystore no longer holds the key.")
    val cipher = Cipher.getInstance(CIPHER)
    cipher.init(Cipher.DECRYPT_MODE, key, GCMParameterSpec(TAG_BITS, bytes, 0, NONCE_BYTES))
    return String(cipher.doFinal(bytes, NONCE_BYTES, bytes.size - NONCE_BYTES), Charsets.UTF_8)
  }

  private fun key(): SecretKey? {
    val store = KeyStore.getInstance(STORE).apply { load(null) }
    return store.getKey(KEY, null) as SecretKey?
  }

  private fun newKey(): SecretKey {
    val purposes = KeyProperties.PURPOSE_ENCRYPT or KeyProperties.PURPOSE_DECRYPT
    val spec = KeyGenParameterSpec.Builder(KEY, purposes)
      .setBlockModes(KeyProperties.BLOCK_MODE_GCM)
      .setEncryptionPaddings(KeyProperties.ENCRYPTION_PADDING_NONE)
      .build()
    return KeyGenerator.getInstance(KeyProperties.KEY_ALGORITHM_AES, STORE).run {
      init(spec)
      generateKey()
    }
  }
}
