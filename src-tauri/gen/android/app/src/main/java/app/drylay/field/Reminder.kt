package app.drylay.field

import android.Manifest
import android.app.AlarmManager
import android.app.PendingIntent
import android.content.BroadcastReceiver
import android.content.Context
import android.content.Intent
import android.content.pm.PackageManager
import android.net.Uri
import androidx.core.app.NotificationChannelCompat
import androidx.core.app.NotificationCompat
import androidx.core.app.NotificationManagerCompat
import androidx.core.content.ContextCompat
import androidx.core.content.edit
import org.json.JSONObject

/**
 * Says that a wait is over, also while the app is closed. Inexact alarms: nobody has to allow them, and grout takes no
 * harm by some minutes. They are kept with their words, because a phone that is started again has forgotten them.
 */
class Reminder : BroadcastReceiver() {
  override fun onReceive(context: Context, intent: Intent) {
    if (intent.action == Intent.ACTION_BOOT_COMPLETED) return setAllAgain(context)
    val key = intent.data?.schemeSpecificPart ?: return
    val words = kept(context).getString(key, null)?.let { JSONObject(it).getString(WORDS) } ?: return
    kept(context).edit { remove(key) }
    show(context, key, words)
  }

  companion object {
    private const val CHANNEL = "due"
    private const val AT = "at"
    private const val WORDS = "words"

    /** Sets what is due next of one floor, at milliseconds since 1970; instead of what was set for it. */
    fun remind(context: Context, key: String, at: Long, words: String) {
      kept(context).edit { putString(key, JSONObject().put(AT, at).put(WORDS, words).toString()) }
      alarms(context).setAndAllowWhileIdle(AlarmManager.RTC_WAKEUP, at, pending(context, key))
    }

    fun forget(context: Context, key: String) {
      kept(context).edit { remove(key) }
      alarms(context).cancel(pending(context, key))
    }

    private fun setAllAgain(context: Context) {
      for ((key, text) in kept(context).all) {
        val said = JSONObject(text as? String ?: continue)
        remind(context, key, said.getLong(AT), said.getString(WORDS))
      }
    }

    private fun show(context: Context, key: String, words: String) {
      val allowed = ContextCompat.checkSelfPermission(context, Manifest.permission.POST_NOTIFICATIONS)
      if (android.os.Build.VERSION.SDK_INT >= PhonePlugin.NOTICES_ASKED_SINCE && allowed != PackageManager.PERMISSION_GRANTED) return
      val notices = NotificationManagerCompat.from(context)
      val channel = NotificationChannelCompat.Builder(CHANNEL, NotificationManagerCompat.IMPORTANCE_HIGH)
      notices.createNotificationChannel(channel.setName(context.getString(R.string.due_channel)).build())
      val open = PendingIntent.getActivity(
        context, 0, Intent(context, MainActivity::class.java), PendingIntent.FLAG_IMMUTABLE or PendingIntent.FLAG_UPDATE_CURRENT
      )
      val notice = NotificationCompat.Builder(context, CHANNEL)
        .setSmallIcon(R.drawable.ic_notice)
        .setColor(ContextCompat.getColor(context, R.color.accent))
        .setContentTitle(words)
        .setStyle(NotificationCompat.BigTextStyle().bigText(words))
        .setContentIntent(open)
        .setAutoCancel(true)
        .build()
      notices.notify(key.hashCode(), notice)
    }

    private fun kept(context: Context) = context.getSharedPreferences("reminders", Context.MODE_PRIVATE)

    private fun alarms(context: Context) = context.getSystemService(AlarmManager::class.java)

    private fun pending(context: Context, key: String): PendingIntent {
      val intent = Intent(context, Reminder::class.java).setData(Uri.fromParts("due", key, null))
      return PendingIntent.getBroadcast(context, 0, intent, PendingIntent.FLAG_IMMUTABLE or PendingIntent.FLAG_UPDATE_CURRENT)
    }
  }
}
