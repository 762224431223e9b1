package app.drylay.field

import android.content.Context
import android.net.ConnectivityManager
import android.net.LinkProperties
import android.net.Network
import android.net.NetworkCapabilities
import android.net.NetworkRequest
import android.net.wifi.WifiManager
import app.tauri.Logger

/**
 * What the crew's network needs of the phone: to be told of other networks, to hear multicast, and to keep to a Wi-Fi
 * that has no internet, away from which Android would send everything over the telephone network.
 *
 * `tell` gets `changed` when the way to others may be another one, and `bound` when sockets have to be opened anew.
 */
class Near(context: Context, private val tell: (String) -> Unit) {
  private val connectivity = context.applicationContext.getSystemService(ConnectivityManager::class.java)
  private val wifi = context.applicationContext.getSystemService(WifiManager::class.java)
  private val multicast = wifi.createMulticastLock("drylay").apply { setReferenceCounted(false) }
  private var watching = false

  private val anyNetwork = object : ConnectivityManager.NetworkCallback() {
    override fun onAvailable(network: Network) = tell("changed")
    override fun onLost(network: Network) = tell("changed")
    override fun onLinkPropertiesChanged(network: Network, properties: LinkProperties) = tell("changed")
  }

  private val wifiNetwork = object : ConnectivityManager.NetworkCallback() {
    override fun onAvailable(network: Network) = bind(network)
    override fun onLost(network: Network) = bind(null)
  }

  /** Once; from then on for as long as the app lives. */
  fun watch() {
    if (watching) return
    watching = true
    connectivity.registerDefaultNetworkCallback(anyNetwork)
    val request = NetworkRequest.Builder()
      .addTransportType(NetworkCapabilities.TRANSPORT_WIFI)
      .removeCapability(NetworkCapabilities.NET_CAPABILITY_INTERNET)
      .build()
    try {
      connectivity.requestNetwork(request, wifiNetwork)
    } catch (refused: SecurityException) {
      // Some makers' systems want a setting for it; without it only a Wi-Fi with internet is kept to.
      Logger.error("drylay", "no Wi-Fi without internet: ${refused.message}", refused)
    }
  }

  /** While the app is in front: multicast costs battery, and behind another app nothing is looked for. */
  fun hear(on: Boolean) {
    if (on) multicast.acquire() else if (multicast.isHeld) multicast.release()
  }

  private fun bind(network: Network?) {
    if (connectivity.boundNetworkForProcess == network) return
    connectivity.bindProcessToNetwork(network)
    tell("bound")
  }
}
