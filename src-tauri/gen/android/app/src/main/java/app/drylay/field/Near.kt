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
 * What the crew's network needs of the phone: to be told of other networks, and while devices are looked for to hear
 * multicast and to keep to a Wi-Fi that has no internet, away from which Android would send everything over the telephone
 * network.
 *
 * `tell` gets `changed` when the way to others may be another one, and `bound` when sockets have to be opened anew.
 */
class Near(context: Context, private val tell: (String) -> Unit) {
  private val connectivity = context.applicationContext.getSystemService(ConnectivityManager::class.java)

  /** None on a device without Wi-Fi. */
  private val multicast = context.applicationContext.getSystemService(WifiManager::class.java)
    ?.createMulticastLock("drylay")?.apply { setReferenceCounted(false) }

  /** Whether there is anybody to look for: a crew, or one that is being made or joined. */
  private var wanted = false
  private var inFront = true
  private var looking = false
  private var requested = false
  private var watching = false

  private val anyNetwork = object : ConnectivityManager.NetworkCallback() {
    override fun onAvailable(network: Network) = tell("changed")
    override fun onLost(network: Network) = tell("changed")
    override fun onLinkPropertiesChanged(network: Network, properties: LinkProperties) = tell("changed")
  }

  private val wifiNetwork = object : ConnectivityManager.NetworkCallback() {
    override fun onAvailable(network: Network) = bind(network)
    override fun onLost(network: Network) = bind(null)

    /** The default network, which the other callback follows, may be the telephone's. */
    override fun onLinkPropertiesChanged(network: Network, properties: LinkProperties) = tell("changed")
  }

  /** Once, for as long as the app lives: being told costs nothing. */
  @Synchronized
  fun watch() {
    if (!watching) connectivity.registerDefaultNetworkCallback(anyNetwork)
    watching = true
  }

  /** Whether devices are to be looked for at all. */
  @Synchronized
  fun discover(on: Boolean) {
    wanted = on
    settle()
    if (!on) bind(null)
  }

  /** Whether the app is in front: looking costs battery, and behind another app nobody waits for what is found. */
  @Synchronized
  fun front(on: Boolean) {
    inFront = on
    settle()
  }

  private fun settle() {
    val look = wanted && inFront
    if (look == looking) return
    looking = look
    if (look) begin() else end()
  }

  private fun begin() {
    multicast?.acquire()
    // Behind another app nobody told that the Wi-Fi went away.
    if (connectivity.boundNetworkForProcess?.let { connectivity.getNetworkCapabilities(it) == null } == true) bind(null)
    keepToWifi()
  }

  /** Sockets stay on the Wi-Fi that they are on; it is asked for again in front. */
  private fun end() {
    if (multicast?.isHeld == true) multicast.release()
    if (requested) connectivity.unregisterNetworkCallback(wifiNetwork)
    requested = false
  }

  private fun keepToWifi() {
    val request = NetworkRequest.Builder()
      .addTransportType(NetworkCapabilities.TRANSPORT_WIFI)
      .removeCapability(NetworkCapabilities.NET_CAPABILITY_INTERNET)
      .build()
    try {
      connectivity.requestNetwork(request, wifiNetwork)
      requested = true
    } catch (refused: SecurityException) {
      // Some makers' systems want a setting for it; without it only a Wi-Fi with internet is kept to.
      Logger.error("drylay", "no Wi-Fi without internet: ${refused.message}", refused)
    }
  }

  private fun bind(network: Network?) {
    if (connectivity.boundNetworkForProcess == network) return
    connectivity.bindProcessToNetwork(network)
    tell("bound")
  }
}
