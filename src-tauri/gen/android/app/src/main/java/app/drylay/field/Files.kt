package app.drylay.field

import android.content.ContentResolver
import android.content.Context
import android.content.Intent
import android.net.Uri
import android.provider.OpenableColumns
import androidx.core.content.FileProvider
import androidx.core.content.edit
import java.io.File
import java.io.IOException
import java.util.UUID
import java.util.concurrent.TimeUnit

/** Why something was not done: a word that src-tauri/src/phone.rs knows, so that it can be said in any language. */
class Refused(why: String) : IOException(why)

/**
 * Files on their way in and out. The core reads and writes paths, other apps give and take content addresses: what comes
 * is copied into the cache, what goes is lent out by the file provider.
 */
class Files(private val context: Context) {
  private val arrived = File(context.cacheDir, "arrived")
  private val leaving = File(context.cacheDir, "leaving")
  private val camera = File(context.cacheDir, "camera")
  private val asked = context.getSharedPreferences("camera", Context.MODE_PRIVATE)

  /** What earlier starts have left behind. What is younger than a day may still be read by another app, or be asked for. */
  fun clear() {
    val old = System.currentTimeMillis() - TimeUnit.DAYS.toMillis(1)
    val found = listOf(arrived, leaving, camera).flatMap { it.listFiles().orEmpty().asList() }
    found.filter { it.lastModified() < old }.forEach { it.deleteRecursively() }
  }

  /**
   * Copies what an address holds into a file of its own; gives back its path. Only what other apps offer: an address of
   * this app's own files would let anybody have them read.
   */
  fun takeIn(address: Uri, most: Long = MOST_BYTES): String {
    // Before an @ may stand the number of a user: the provider behind it is the same.
    val offering = address.authority?.substringAfterLast('@')
    if (address.scheme != ContentResolver.SCHEME_CONTENT || offering == authority()) throw Refused("notOffered")
    val folder = newFolder(arrived)
    try {
      val file = File(folder, plain(nameOf(address)))
      val source = context.contentResolver.openInputStream(address) ?: throw Refused("nothing")
      source.use { from -> file.outputStream().use { to -> copy(from, to, most) } }
      return file.path
    } catch (failed: Exception) {
      folder.deleteRecursively()
      throw failed
    }
  }

  private fun newFolder(within: File): File {
    val folder = File(within, UUID.randomUUID().toString())
    if (!folder.mkdirs()) throw Refused("noRoom")
    return folder
  }

  /** Where a file is written that is to be sent. */
  fun toSend(name: String): String = File(newFolder(leaving), plain(name)).path

  /** The address a camera is to write to. It is written down where, since the system may end the app meanwhile. */
  fun forCamera(): Uri {
    if (!camera.isDirectory && !camera.mkdirs()) throw Refused("noRoom")
    val file = File(camera, "${UUID.randomUUID()}.jpg")
    asked.edit(commit = true) { putString(PATH, file.path) }
    return lent(file)
  }

  /** What the camera that was asked last has written, if anything. Answered once. */
  fun fromCamera(): String? {
    val path = asked.getString(PATH, null)
    asked.edit { remove(PATH) }
    return path?.takeIf { File(it).length() > 0 }
  }

  /** Asks which app is to get a file. */
  fun share(path: String, kind: String): Intent = chooser(Intent(Intent.ACTION_SEND).apply {
    val address = lent(File(path))
    type = kind
    putExtra(Intent.EXTRA_STREAM, address)
    clipData = android.content.ClipData.newRawUri(null, address)
    addFlags(Intent.FLAG_GRANT_READ_URI_PERMISSION)
  })

  /** Asks which app is to show a file. */
  fun show(path: String, kind: String): Intent = chooser(Intent(Intent.ACTION_VIEW).apply {
    setDataAndType(lent(File(path)), kind)
    addFlags(Intent.FLAG_GRANT_READ_URI_PERMISSION)
  })

  private fun chooser(intent: Intent): Intent = Intent.createChooser(intent, context.getString(R.string.share_title))

  /** Files outside the places of `file_paths.xml` are refused by the provider. */
  private fun lent(file: File): Uri = FileProvider.getUriForFile(context, authority(), file)

  private fun authority() = "${context.packageName}.fileprovider"

  private fun nameOf(address: Uri): String {
    val columns = arrayOf(OpenableColumns.DISPLAY_NAME)
    return context.contentResolver.query(address, columns, null, null, null)?.use { rows ->
      if (rows.moveToFirst()) rows.getString(0) else null
    } ?: address.lastPathSegment ?: "file"
  }

  private fun copy(from: java.io.InputStream, to: java.io.OutputStream, most: Long) {
    val buffer = ByteArray(64 * 1024)
    var sum = 0L
    while (true) {
      val read = from.read(buffer)
      if (read < 0) return
      sum += read
      if (sum > most) throw Refused("tooLarge")
      to.write(buffer, 0, read)
    }
  }

  companion object {
    /** As much as the core reads of a hand-over file. */
    private const val MOST_BYTES = 1L shl 30

    /** As much as the core reads of a picture. */
    const val MOST_PICTURE_BYTES = 100L shl 20

    private const val PATH = "path"

    /** A name without anything that leads elsewhere. */
    fun plain(name: String): String =
      name.substringAfterLast('/').filter { it.isLetterOrDigit() || it in " ._-" }.trim(' ', '.').takeLast(80).ifEmpty { "file" }
  }
}
