// The screens above a place, as the title blocks lead up: below a place that opens first they lie in the history.
import type { Place } from "./address.ts";

/** The screen that Back leads to from a place; null from the outermost. */
export function parentOf(place: Place): Place | null {
  switch (place.screen) {
    case "jobs":
      return null;
    case "device":
    case "crew":
    case "job":
      return { screen: "jobs" };
    case "floor":
    case "base":
    case "heights":
      return { screen: "room", job: place.job, room: place.room };
    case "plan":
    case "work":
      return place.piece ? { ...place, piece: null } : { screen: "job", job: place.job };
    default:
      return { screen: "job", job: place.job };
  }
}

/** All of them and the place itself, the outermost first. */
export function wayTo(place: Place): Place[] {
  const parent = parentOf(place);
  return parent ? [...wayTo(parent), place] : [place];
}
