// The wire types by the names the screens use. They are generated from the core's own (see bindings/); only what
// the wire leaves as plain text and the screens tell apart is narrowed here.
export type { Commands } from "./bindings/commands.ts";
export type { AlternativeView } from "./bindings/AlternativeView.ts";
export type { AreaCard } from "./bindings/AreaCard.ts";
export type { BuyStep } from "./bindings/BuyStep.ts";
export type { BuyView } from "./bindings/BuyView.ts";
export type { BooksView } from "./bindings/BooksView.ts";
export type { CallView } from "./bindings/CallView.ts";
export type { ChoiceView } from "./bindings/ChoiceView.ts";
export type { BestSoFar } from "./bindings/BestSoFar.ts";
export type { ComparisonLine } from "./bindings/ComparisonLine.ts";
export type { PlanComparison } from "./bindings/PlanComparison.ts";
export type { CrewDevice } from "./bindings/CrewDevice.ts";
export type { CrewView } from "./bindings/CrewView.ts";
export type { QrView } from "./bindings/QrView.ts";
export type { CornerView } from "./bindings/CornerView.ts";
export type { DeviceView } from "./bindings/DeviceView.ts";
export type { Event as CoreEvent } from "./bindings/Event.ts";
export type { EntryView } from "./bindings/EntryView.ts";
export type { FieldView } from "./bindings/FieldView.ts";
export type { FindingView } from "./bindings/FindingView.ts";
export type { FormView } from "./bindings/FormView.ts";
export type { GroundEdit } from "./bindings/GroundEdit.ts";
export type { GroundView } from "./bindings/GroundView.ts";
export type { FloorEdit } from "./bindings/FloorEdit.ts";
export type { FloorMapView } from "./bindings/FloorMapView.ts";
export type { FloorView } from "./bindings/FloorView.ts";
export type { FloorPointView } from "./bindings/FloorPointView.ts";
export type { FloorToleranceView } from "./bindings/FloorToleranceView.ts";
export type { StraightedgeView } from "./bindings/StraightedgeView.ts";
export type { WorstView } from "./bindings/WorstView.ts";
export type { HistoryView } from "./bindings/HistoryView.ts";
export type { Instrument } from "./bindings/Instrument.ts";
export type { IssueList } from "./bindings/IssueList.ts";
export type { LastTileView } from "./bindings/LastTileView.ts";
export type { SettingOutView } from "./bindings/SettingOutView.ts";
export type { WallMarkView } from "./bindings/WallMarkView.ts";
export type { JobCard } from "./bindings/JobCard.ts";
export type { JobView } from "./bindings/JobView.ts";
export type { KeepoutView } from "./bindings/KeepoutView.ts";
export type { LayingStep } from "./bindings/LayingStep.ts";
export type { LocatedBy } from "./bindings/LocatedBy.ts";
export type { MarkView } from "./bindings/MarkView.ts";
export type { PhotoList } from "./bindings/PhotoList.ts";
export type { PhotosTaken } from "./bindings/PhotosTaken.ts";
export type { PhotoView } from "./bindings/PhotoView.ts";
export type { PinAsk } from "./bindings/PinAsk.ts";
export type { PinView } from "./bindings/PinView.ts";
export type { PieceCard as PieceCardView } from "./bindings/PieceCard.ts";
export type { PieceView } from "./bindings/PieceView.ts";
export type { PlanView } from "./bindings/PlanView.ts";
export type { CutGroup } from "./bindings/CutGroup.ts";
export type { CutLine } from "./bindings/CutLine.ts";
export type { GapCut } from "./bindings/GapCut.ts";
export type { NotedView } from "./bindings/NotedView.ts";
export type { StockView } from "./bindings/StockView.ts";
export type { WorkArea } from "./bindings/WorkArea.ts";
export type { WorkPiece } from "./bindings/WorkPiece.ts";
export type { WorkRow } from "./bindings/WorkRow.ts";
export type { WorkView } from "./bindings/WorkView.ts";
export type { Problem as ProblemWire } from "./bindings/Problem.ts";
export type { EngagementText } from "./bindings/EngagementText.ts";
export type { EngagementTyped } from "./bindings/EngagementTyped.ts";
export type { OverhangOf } from "./bindings/OverhangOf.ts";
export type { OverhangView } from "./bindings/OverhangView.ts";
export type { RuleText } from "./bindings/RuleText.ts";
export type { RuleTyped } from "./bindings/RuleTyped.ts";
export type { PreferView } from "./bindings/PreferView.ts";
export type { ProductView } from "./bindings/ProductView.ts";
export type { QuoteLineView } from "./bindings/QuoteLineView.ts";
export type { QuoteView } from "./bindings/QuoteView.ts";
export type { ReadingView } from "./bindings/ReadingView.ts";
export type { RateView } from "./bindings/RateView.ts";
export type { Rings } from "./bindings/Rings.ts";
export type { RoomCard } from "./bindings/RoomCard.ts";
export type { RoomEdit } from "./bindings/RoomEdit.ts";
export type { RoomView } from "./bindings/RoomView.ts";
export type { ShopView } from "./bindings/ShopView.ts";
export type { Stamp } from "./bindings/Stamp.ts";
export type { Thing } from "./bindings/Thing.ts";
export type { Touched } from "./bindings/Touched.ts";
export type { Typed } from "./bindings/Typed.ts";
export type { Units } from "./bindings/Units.ts";
export type { WallView } from "./bindings/WallView.ts";
import type { Commands } from "./bindings/commands.ts";

export type CommandName = keyof Commands;
/** A point in plan coordinates, millimetres. */
export type Point = [number, number];
/** The classes of cut. */
export type Cut = "whole" | "length" | "rip" | "corner" | "shape";

/** The class of a cut by its wire name; one the screens do not know is drawn and named as cut to shape. */
export function cutOf(name: string): Cut {
  return name === "whole" || name === "length" || name === "rip" || name === "corner" ? name : "shape";
}
