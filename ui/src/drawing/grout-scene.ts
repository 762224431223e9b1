// The floor in sections: numbered in the order they are grouted, hatched by how far each is, the next one in the accent.
import type { GroutView, SectionView } from "../ipc/types.ts";
import { words } from "../words/words.ts";
import { boxOf, noBox } from "./camera.ts";
import { padded } from "./rings.ts";
import type { Scene, Stratum } from "./scene.ts";

export function groutScene(view: GroutView): Scene {
  const box = boxOf(view.sections.map((one) => one.rings.outer)) ?? noBox;
  const of = (...phases: string[]): SectionView["rings"][] => view.sections.filter((one) => phases.includes(one.phase)).map((one) => one.rings);
  const strata: Stratum[] = [
    { rings: of("open"), fill: "paper", stroke: "ink", width: 1 },
    { rings: of("wet"), fill: "tint", hatch: "crossed", stroke: "ink", width: 1 },
    { rings: of("haze"), fill: "tint", hatch: "along", stroke: "ink", width: 1 },
    { rings: of("walk", "cured"), fill: "wash", stroke: "ink", width: 1 },
    { rings: view.sections.filter((one) => one.n === view.next).map((one) => one.rings), stroke: "accent", width: 3.5 },
  ];
  return {
    box: padded(box, 40),
    strata: strata.filter((stratum) => stratum.rings.length > 0),
    dims: [],
    notes: view.sections.flatMap((one) => {
      const around = boxOf([one.rings.outer]);
      if (!around) return [];
      const text = one.phase === "walk" || one.phase === "cured" ? "✓" : String(one.n);
      return [{ at: [(around.x0 + around.x1) / 2, (around.y0 + around.y1) / 2] as [number, number], text, ink: "ink" as const, size: 17, bold: true, ground: "paper" as const }];
    }),
    targets: view.sections.map((one) => ({ id: one.id, name: words.grout.sectionName(one.n, one.words), ring: one.rings.outer, holes: one.rings.holes })),
    told: words.grout.told(view.sections.length, view.next),
  };
}
