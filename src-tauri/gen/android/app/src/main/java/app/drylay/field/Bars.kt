package app.drylay.field

import android.view.Window
import androidx.core.view.WindowCompat
import androidx.core.view.WindowInsetsCompat
import app.tauri.plugin.JSObject

/** How far bars and cut-outs reach into the window, in CSS pixels. */
data class Bars(val top: Float, val right: Float, val bottom: Float, val left: Float) {
  fun toJson(): JSObject = JSObject().apply {
    put("top", top.toDouble())
    put("right", right.toDouble())
    put("bottom", bottom.toDouble())
    put("left", left.toDouble())
  }

  companion object {
    /** Told whenever they change, on the window's own thread. */
    var changed: ((Bars) -> Unit)? = null

    var now: Bars = Bars(0f, 0f, 0f, 0f)
      set(bars) {
        if (bars == field) return
        field = bars
        changed?.invoke(bars)
      }

    /** The icons upon the bars follow the theme of the screens beneath, which need not be the system's. */
    fun icons(window: Window, dark: Boolean) = WindowCompat.getInsetsController(window, window.decorView).run {
      isAppearanceLightStatusBars = dark
      isAppearanceLightNavigationBars = dark
    }

    /** Above the keyboard there is no bar at the bottom. */
    fun of(insets: WindowInsetsCompat, keyboard: Boolean, density: Float): Bars {
      val kinds = WindowInsetsCompat.Type.systemBars() or WindowInsetsCompat.Type.displayCutout()
      val taken = insets.getInsets(kinds)
      val bottom = if (keyboard) 0 else taken.bottom
      return Bars(taken.top / density, taken.right / density, bottom / density, taken.left / density)
    }
  }
}
