package app.drylay.field

import android.Manifest
import android.app.Activity
import android.content.ActivityNotFoundException
import android.content.Intent
import android.net.Uri
import android.os.Build
import android.provider.MediaStore
import android.view.WindowManager
import androidx.activity.result.ActivityResult
import androidx.appcompat.app.AppCompatActivity
import androidx.core.content.IntentCompat
import app.tauri.PermissionState
import app.tauri.annotation.ActivityCallback
import app.tauri.annotation.Command
import app.tauri.annotation.InvokeArg
import app.tauri.annotation.Permission
import app.tauri.annotation.PermissionCallback
import app.tauri.annotation.TauriPlugin
import app.tauri.plugin.Channel
import app.tauri.plugin.Invoke
import app.tauri.plugin.JSArray
import app.tauri.plugin.JSObject
import app.tauri.plugin.Plugin
import java.util.concurrent.Executors
import kotlin.concurrent.thread

@InvokeArg
class WatchArgs {
  lateinit var channel: Channel
}

@InvokeArg
class SwitchArgs {
  var on: Boolean = false
}

@InvokeArg
class RemindArgs {
  lateinit var key: String
  var words: String = ""
  var at: Long? = null
}

@InvokeArg
class TakeInArgs {
  lateinit var addresses: List<String>
}

@InvokeArg
class NameArgs {
  lateinit var name: String
}

@InvokeArg
class TextArgs {
  lateinit var text: String
}

@InvokeArg
class FileArgs {
  lateinit var path: String
  lateinit var kind: String
}

/**
 * What only the phone can do, as commands of the window (src-tauri/src/phone.rs), and what happens to it, told by one
 * channel: `changed` and `bound` (the network), `bars`, `link` (an invitation), `file` and `picture` (what another app
 * sent), `lost` (what of that could not be read).
 */
@TauriPlugin(
  permissions = [
    Permission(strings = [Manifest.permission.ACCESS_LOCAL_NETWORK], alias = "nearby"),
    Permission(strings = [Manifest.permission.POST_NOTIFICATIONS], alias = "notices")
  ]
)
class PhonePlugin(activity: Activity) : Plugin(activity) {
  /** Outlives every window. */
  private val context = activity.applicationContext
  private val files = Files(context)
  private val near = Near(context) { what -> tell(what) {} }

  /** The window in front: the system may make it anew while the app goes on. */
  @Volatile
  private var window: Activity = activity
  @Volatile
  private var channel: Channel? = null
  private var screenOn = false
  private var iconsDark: Boolean? = null

  /** What other apps send is copied one after the other. */
  private val porter = Executors.newSingleThreadExecutor()

  /** Whether devices near might be met when that was looked at last. */
  private var met = true

  /** From now on the window is told what happens, first of all by what the app was started. */
  @Command
  fun watch(invoke: Invoke) {
    channel = invoke.parseArgs(WatchArgs::class.java).channel
    files.clear()
    Bars.changed = { bars -> tell("bars") { put("bars", bars.toJson()) } }
    near.watch()
    invoke.resolve()
    val started = window.intent
    window.intent = Intent(Intent.ACTION_MAIN)
    if (started.flags and Intent.FLAG_ACTIVITY_LAUNCHED_FROM_HISTORY == 0) take(started)
  }

  override fun onNewIntent(intent: Intent) = take(intent)

  override fun onResume(activity: AppCompatActivity) {
    if (window !== activity) {
      window = activity
      keepOn()
      iconsDark?.let { Bars.icons(activity.window, it) }
    }
    near.front(true)
  }

  override fun onStop(activity: AppCompatActivity) = near.front(false)

  /** Whether there is a crew to look for, or one that is being made or joined. */
  @Command
  fun discover(invoke: Invoke) {
    near.discover(invoke.parseArgs(SwitchArgs::class.java).on)
    invoke.resolve()
  }

  @Command
  fun bars(invoke: Invoke) = invoke.resolve(Bars.now.toJson())

  /** Whether the icons upon the bars are dark ones. */
  @Command
  fun darkIcons(invoke: Invoke) {
    val on = invoke.parseArgs(SwitchArgs::class.java).on
    window.runOnUiThread {
      iconsDark = on
      Bars.icons(window.window, on)
      invoke.resolve()
    }
  }

  /** Keeps the screen on, or no longer. */
  @Command
  fun awake(invoke: Invoke) {
    val on = invoke.parseArgs(SwitchArgs::class.java).on
    window.runOnUiThread {
      screenOn = on
      keepOn()
      invoke.resolve()
    }
  }

  private fun keepOn() {
    val flag = WindowManager.LayoutParams.FLAG_KEEP_SCREEN_ON
    if (screenOn) window.window.addFlags(flag) else window.window.clearFlags(flag)
  }

  /** Whether devices near may be met; never asks. */
  @Command
  fun nearby(invoke: Invoke) = allowed(invoke, nearbyAllowed())

  /** Whether devices near may be met; asks where that takes a permission. */
  @Command
  fun askNearby(invoke: Invoke) {
    if (nearbyAllowed()) return allowed(invoke, true)
    requestPermissionForAlias("nearby", invoke, "nearbyAnswered")
  }

  @PermissionCallback
  fun nearbyAnswered(invoke: Invoke) = allowed(invoke, nearbyAllowed())

  /** Where it is allowed now and was not, here or in the system's settings, sockets have to be opened anew. */
  private fun nearbyAllowed(): Boolean {
    val asked = Build.VERSION.SDK_INT >= LOCAL_NETWORK_ASKED_SINCE
    val may = !asked || getPermissionState("nearby") == PermissionState.GRANTED
    if (may && !met) tell("bound") {}
    met = may
    return may
  }

  /** Whether notices may be shown; never asks. */
  @Command
  fun notices(invoke: Invoke) = allowed(invoke, noticesAllowed())

  /** Whether notices may be shown; asks where that takes a permission. */
  @Command
  fun askNotices(invoke: Invoke) {
    if (noticesAllowed()) return allowed(invoke, true)
    requestPermissionForAlias("notices", invoke, "noticesAnswered")
  }

  @PermissionCallback
  fun noticesAnswered(invoke: Invoke) = allowed(invoke, noticesAllowed())

  /** Sets what is due next of one floor; without a time nothing is. */
  @Command
  fun remind(invoke: Invoke) {
    val args = invoke.parseArgs(RemindArgs::class.java)
    val at = args.at
    if (at == null) Reminder.forget(context, args.key) else Reminder.remind(context, args.key, at, args.words)
    invoke.resolve()
  }

  /** Copies what was chosen in other apps to where the core can read it. */
  @Command
  fun takeIn(invoke: Invoke) {
    val addresses = invoke.parseArgs(TakeInArgs::class.java).addresses
    apart(invoke) {
      val paths = JSArray()
      addresses.forEach { paths.put(files.takeIn(Uri.parse(it))) }
      invoke.resolve(JSObject().apply { put("paths", paths) })
    }
  }

  /** Has the phone's own camera take a photo; answers where it lies, or nothing. */
  @Command
  fun camera(invoke: Invoke) {
    try {
      val intent = Intent(MediaStore.ACTION_IMAGE_CAPTURE).putExtra(MediaStore.EXTRA_OUTPUT, files.forCamera())
      intent.addFlags(Intent.FLAG_GRANT_WRITE_URI_PERMISSION)
      startActivityForResult(invoke, intent, "photoTaken")
    } catch (none: ActivityNotFoundException) {
      invoke.reject("noCamera", none)
    } catch (failed: java.io.IOException) {
      invoke.reject(failed.message, failed)
    }
  }

  @ActivityCallback
  fun photoTaken(invoke: Invoke, result: ActivityResult) {
    val path = files.fromCamera()
    answerPath(invoke, path.takeIf { result.resultCode == Activity.RESULT_OK })
  }

  /** The photo that was being taken when the system ended the app: where it lies, or nothing. Answered once. */
  @Command
  fun photoLeft(invoke: Invoke) = answerPath(invoke, files.fromCamera())

  private fun answerPath(invoke: Invoke, path: String?) =
    invoke.resolve(JSObject().apply { put("path", path ?: org.json.JSONObject.NULL) })

  /** Where a file of that name is to be written before it is shared. */
  @Command
  fun toSend(invoke: Invoke) = apart(invoke) {
    answerPath(invoke, files.toSend(invoke.parseArgs(NameArgs::class.java).name))
  }

  /** Locks a secret by the key that the phone's keystore holds. */
  @Command
  fun lockAway(invoke: Invoke) = guarded(invoke) { Keystore.lock(it) }

  /** Unlocks what was locked so. */
  @Command
  fun unlock(invoke: Invoke) = guarded(invoke) { Keystore.unlock(it) }

  private fun guarded(invoke: Invoke, act: (String) -> String) = apart(invoke) {
    val text = act(invoke.parseArgs(TextArgs::class.java).text)
    invoke.resolve(JSObject().apply { put("text", text) })
  }

  @Command
  fun share(invoke: Invoke) {
    val args = invoke.parseArgs(FileArgs::class.java)
    start(invoke) { files.share(args.path, args.kind) }
  }

  @Command
  fun show(invoke: Invoke) {
    val args = invoke.parseArgs(FileArgs::class.java)
    start(invoke) { files.show(args.path, args.kind) }
  }

  private fun start(invoke: Invoke, intent: () -> Intent) {
    try {
      window.startActivity(intent())
      invoke.resolve()
    } catch (none: ActivityNotFoundException) {
      invoke.reject("noApp", none)
    } catch (outside: IllegalArgumentException) {
      invoke.reject("notLent", outside)
    }
  }

  /** What another app put into an intent may be anything, also what cannot be read at all. */
  private fun take(intent: Intent) {
    try {
      read(intent)
    } catch (failed: RuntimeException) {
      lost(failed)
    }
  }

  private fun read(intent: Intent) {
    when (intent.action) {
      Intent.ACTION_VIEW -> intent.data?.let { if (it.scheme == LINK_SCHEME) link(it.toString()) else file(it) }
      Intent.ACTION_SEND -> sent(intent, listOfNotNull(IntentCompat.getParcelableExtra(intent, Intent.EXTRA_STREAM, Uri::class.java)))
      Intent.ACTION_SEND_MULTIPLE ->
        sent(intent, IntentCompat.getParcelableArrayListExtra(intent, Intent.EXTRA_STREAM, Uri::class.java).orEmpty())
    }
  }

  /** What another app sent: pictures, a file, or words with an invitation among them. */
  private fun sent(intent: Intent, addresses: List<Uri>) = when {
    intent.type?.startsWith("image/") == true -> addresses.forEach(::picture)
    addresses.isNotEmpty() -> addresses.forEach(::file)
    else -> intent.getCharSequenceExtra(Intent.EXTRA_TEXT)?.let { link(LINK.find(it)?.value ?: it.trim().toString()) }
  }

  private fun link(text: String) = tell("link") { put("text", text) }

  private fun file(address: Uri) = porter.execute { bring("file") { files.takeIn(address) } }

  private fun picture(address: Uri) = porter.execute { bring("picture") { files.takeIn(address, Files.MOST_PICTURE_BYTES) } }

  private fun bring(what: String, copied: () -> String) {
    try {
      val path = copied()
      tell(what) { put("path", path) }
    } catch (failed: Exception) {
      lost(failed)
    }
  }

  private fun lost(failed: Exception) = tell("lost") { put("why", failed.message ?: failed.javaClass.simpleName) }

  private fun noticesAllowed() =
    Build.VERSION.SDK_INT < NOTICES_ASKED_SINCE || getPermissionState("notices") == PermissionState.GRANTED

  private fun allowed(invoke: Invoke, yes: Boolean) = invoke.resolve(JSObject().apply { put("allowed", yes) })

  private fun tell(what: String, more: JSObject.() -> Unit) {
    channel?.send(JSObject().apply {
      put("kind", what)
      more()
    })
  }

  /** Files may be long; the window does not wait for them. */
  private fun apart(invoke: Invoke, act: () -> Unit) {
    thread {
      try {
        act()
      } catch (failed: Exception) {
        invoke.reject(failed.message ?: failed.javaClass.simpleName, failed)
      }
    }
  }

  companion object {
    /** As `SCHEME` in core/sync/src/invitation.rs. */
    const val LINK_SCHEME = "drylay"

    /** An invitation among other words. */
    private val LINK = Regex("\\b$LINK_SCHEME:[A-Z0-9-]+", RegexOption.IGNORE_CASE)

    /** Android 13. */
    const val NOTICES_ASKED_SINCE = 33

    /** Android 17. */
    const val LOCAL_NETWORK_ASKED_SINCE = 37
  }
}
