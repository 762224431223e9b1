package app.drylay.field

import android.content.Intent
import android.os.Bundle
import android.view.View
import android.webkit.WebView
import androidx.activity.OnBackPressedCallback
import androidx.activity.enableEdgeToEdge
import androidx.core.graphics.Insets
import androidx.core.view.ViewCompat
import androidx.core.view.WindowInsetsCompat

/**
 * The one window. The screens reach under the bars and are told where those are (`Bars`); the keyboard makes the window
 * shorter, as it did before windows reached from edge to edge. Back goes back in the screens' own history.
 */
class MainActivity : TauriActivity() {
  override fun onCreate(savedInstanceState: Bundle?) {
    enableEdgeToEdge()
    // The system made the window anew, from what it had kept: what it was first started with has been taken in.
    if (savedInstanceState != null) intent = Intent(Intent.ACTION_MAIN)
    super.onCreate(savedInstanceState)
    ViewCompat.setOnApplyWindowInsetsListener(findViewById<View>(android.R.id.content)) { view, insets ->
      val keyboard = insets.getInsets(WindowInsetsCompat.Type.ime()).bottom
      view.setPadding(0, 0, 0, keyboard)
      Bars.now = Bars.of(insets, keyboard > 0, resources.displayMetrics.density)
      WindowInsetsCompat.Builder(insets).setInsets(WindowInsetsCompat.Type.ime(), Insets.NONE).build()
    }
  }

  /**
   * By a step of the history and not as Tauri does it: `goBack` passes over entries that nobody's finger stood behind, as
   * those of the touch lock and those below the screen that the app opens on.
   */
  override fun onWebViewCreate(webView: WebView) {
    onBackPressedDispatcher.addCallback(this, object : OnBackPressedCallback(true) {
      override fun handleOnBackPressed() {
        if (webView.canGoBackOrForward(-1)) return webView.goBackOrForward(-1)
        isEnabled = false
        onBackPressedDispatcher.onBackPressed()
        isEnabled = true
      }
    })
  }
}
