// What an area is called: its own name, or those of its rooms where nobody has named it.
import type { AreaCard, JobView } from "../../ipc/types.ts";
import { words } from "../../words/words.ts";

export function areaName(area: AreaCard, job: JobView | null): string {
  if (area.name) return area.name;
  const names = area.rooms.flatMap((id) => job?.rooms.find((room) => room.id === id)?.name ?? []);
  return names.join(" + ") || words.plan.area;
}
