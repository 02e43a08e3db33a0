// Written by "make generate" from the protos, where every field is explained.

export type Route = [method: string, path: string, body: boolean];
export const routes: Record<keyof Calls, Route[]>;

/** Calls has the request and the answer of every call. */
export interface Calls {
  CreateEvent: { request: CreateEventRequest; answer: CreateEventResponse };
  GetEvent: { request: GetEventRequest; answer: GetEventResponse };
  GetCaller: { request: GetCallerRequest; answer: GetCallerResponse };
  ListEvents: { request: ListEventsRequest; answer: ListEventsResponse };
  UpdateEvent: { request: UpdateEventRequest; answer: UpdateEventResponse };
  SetCategory: { request: SetCategoryRequest; answer: SetCategoryResponse };
  RemoveCategory: { request: RemoveCategoryRequest; answer: RemoveCategoryResponse };
  SetPanel: { request: SetPanelRequest; answer: SetPanelResponse };
  SetAbsentJudges: { request: SetAbsentJudgesRequest; answer: SetAbsentJudgesResponse };
  AddEntry: { request: AddEntryRequest; answer: AddEntryResponse };
  UpdateEntry: { request: UpdateEntryRequest; answer: UpdateEntryResponse };
  ListEntries: { request: ListEntriesRequest; answer: ListEntriesResponse };
  ImportEntries: { request: ImportEntriesRequest; answer: ImportEntriesResponse };
  ExportEntries: { request: ExportEntriesRequest; answer: Blob };
  WithdrawEntry: { request: WithdrawEntryRequest; answer: WithdrawEntryResponse };
  ReinstateEntry: { request: ReinstateEntryRequest; answer: ReinstateEntryResponse };
  ErasePerson: { request: ErasePersonRequest; answer: ErasePersonResponse };
  DrawStartingOrder: { request: DrawStartingOrderRequest; answer: DrawStartingOrderResponse };
  StartSegment: { request: StartSegmentRequest; answer: StartSegmentResponse };
  CallSkater: { request: CallSkaterRequest; answer: CallSkaterResponse };
  CallElement: { request: CallElementRequest; answer: CallElementResponse };
  ReviseElement: { request: ReviseElementRequest; answer: ReviseElementResponse };
  RemoveElement: { request: RemoveElementRequest; answer: RemoveElementResponse };
  ReviewElement: { request: ReviewElementRequest; answer: ReviewElementResponse };
  EndProgram: { request: EndProgramRequest; answer: EndProgramResponse };
  SetElementMarks: { request: SetElementMarksRequest; answer: SetElementMarksResponse };
  SetComponentMarks: { request: SetComponentMarksRequest; answer: SetComponentMarksResponse };
  SetDeductions: { request: SetDeductionsRequest; answer: SetDeductionsResponse };
  ConfirmSkater: { request: ConfirmSkaterRequest; answer: ConfirmSkaterResponse };
  CorrectResult: { request: CorrectResultRequest; answer: CorrectResultResponse };
  PublishSegment: { request: PublishSegmentRequest; answer: PublishSegmentResponse };
  GetPerformance: { request: GetPerformanceRequest; answer: GetPerformanceResponse };
  GetSegmentStanding: { request: GetSegmentStandingRequest; answer: GetSegmentStandingResponse };
  GetFinalStanding: { request: GetFinalStandingRequest; answer: GetFinalStandingResponse };
  GetDocument: { request: GetDocumentRequest; answer: Blob };
  ListFacts: { request: ListFactsRequest; answer: ListFactsResponse };
  CreateToken: { request: CreateTokenRequest; answer: CreateTokenResponse };
  ListTokens: { request: ListTokensRequest; answer: ListTokensResponse };
  RevokeToken: { request: RevokeTokenRequest; answer: RevokeTokenResponse };
  CheckProgram: { request: CheckProgramRequest; answer: CheckProgramResponse };
  RankSegment: { request: RankSegmentRequest; answer: RankSegmentResponse };
  RankEvent: { request: RankEventRequest; answer: RankEventResponse };
  ListSeasons: { request: ListSeasonsRequest; answer: ListSeasonsResponse };
  GetSeason: { request: GetSeasonRequest; answer: GetSeasonResponse };
  ListElements: { request: ListElementsRequest; answer: ListElementsResponse };
  GetElement: { request: GetElementRequest; answer: GetElementResponse };
  CompareSeasons: { request: CompareSeasonsRequest; answer: CompareSeasonsResponse };
  GetScoreboard: { request: GetScoreboardRequest; answer: GetScoreboardResponse };
  CallLevels: { request: CallLevelsRequest; answer: CallLevelsResponse };
  ValueElements: { request: ValueElementsRequest; answer: ValueElementsResponse };
  ScoreSegment: { request: ScoreSegmentRequest; answer: ScoreSegmentResponse };
  BatchScoreSegments: { request: BatchScoreSegmentsRequest; answer: BatchScoreSegmentsResponse };
}

/** Status is an error, as every refused call answers it. */
export interface Status {
  code: number;
  message: string;
  details?: Record<string, unknown>[];
}

export type ErrorReason =
  | "ERROR_REASON_UNSPECIFIED"
  | "SEASON_UNKNOWN"
  | "REVISION_MISMATCH"
  | "CATEGORY_UNKNOWN"
  | "SEGMENT_UNKNOWN"
  | "CODE_INVALID"
  | "ELEMENT_UNKNOWN"
  | "SIGN_UNKNOWN"
  | "GOE_VALUE_UNKNOWN"
  | "MARK_OUT_OF_RANGE"
  | "MARK_OFF_GRID"
  | "PANEL_SIZE_MISMATCH"
  | "JUDGE_UNKNOWN"
  | "COMPONENT_MISSING"
  | "COMPONENT_UNKNOWN"
  | "COMPONENT_DUPLICATE"
  | "DEDUCTION_UNKNOWN"
  | "DEDUCTION_VALUE"
  | "POSITION_INVALID"
  | "VARIATION_INVALID"
  | "REVOLUTIONS_INVALID"
  | "FIELD_REQUIRED"
  | "FIELD_INVALID"
  | "FIELD_UNKNOWN"
  | "JSON_INVALID"
  | "BODY_TOO_LARGE"
  | "BODY_TOO_DEEP"
  | "TOO_MANY_ITEMS"
  | "PAGE_TOKEN_INVALID"
  | "ELEMENT_NOT_FOUND"
  | "SCOPE_REQUIRED"
  | "METHOD_NOT_ALLOWED"
  | "NOT_FOUND"
  | "DEADLINE"
  | "INTERNAL"
  | "RATE_LIMITED"
  | "UNAUTHENTICATED"
  | "PERMISSION_DENIED"
  | "RULES_NOT_AVAILABLE"
  | "CONTENT_TYPE_UNSUPPORTED"
  | "CANCELLED"
  | "EVENT_UNKNOWN"
  | "EVENT_EXISTS"
  | "NOT_IN_EVENT"
  | "NOT_NOW"
  | "INCOMPLETE"
  | "SEQUENCE_CONFLICT"
  | "REQUEST_ID_REUSED"
  | "CSV_INVALID"
  | "STORE_FULL"
  | "STORE_UNAVAILABLE"
  | "WATCHER_TOO_SLOW"
  | "SERVER_STOPPING"
  | "ACCESS_CHANGED"
  | "EVENT_DAMAGED";

export interface Event {
  event: string;
  name: string;
  place: string;
  startDate: string;
  endDate: string;
  rules?: RulesInfo;
  restricted: boolean;
  categories: EventCategory[];
  panel?: EventPanel;
  sequence: string;
  warnings: Warning[];
}

export interface EventSummary {
  event: string;
  name: string;
  place: string;
  startDate: string;
  endDate: string;
  season: string;
  unreadable: boolean;
  damaged: boolean;
}

export interface EventCategory {
  category: string;
  title: string;
  rulesCategory: string;
  segments: EventSegment[];
  entryCount: number;
}

export interface EventSegment {
  segment: string;
  title: string;
  state: SegmentState;
  panel?: EventPanel;
  ownPanel: boolean;
  absentJudges: number[];
  order: StartingPlace[];
  draw?: OrderDraw;
  current: string;
  scope: string;
}

export type SegmentState =
  | "SEGMENT_STATE_UNSPECIFIED"
  | "PLANNED"
  | "DRAWN"
  | "RUNNING"
  | "SKATED"
  | "OFFICIAL";

export interface StartingPlace {
  number: number;
  group: number;
  entry: string;
  name: string;
  club: string;
  state: PerformanceState;
}

export interface OrderDraw {
  method: OrderMethod;
  seed: string;
  groupSize: number;
}

export type OrderMethod =
  | "ORDER_METHOD_UNSPECIFIED"
  | "RANDOM"
  | "REVERSE_STANDING"
  | "GIVEN";

export interface EventPanel {
  judges: number;
  members: PanelMember[];
  countedJudges: number[];
}

export interface PanelMember {
  task: PanelTask;
  judge: number;
  name: string;
}

export type PanelTask =
  | "PANEL_TASK_UNSPECIFIED"
  | "REFEREE"
  | "JUDGE"
  | "TECHNICAL_CONTROLLER"
  | "TECHNICAL_SPECIALIST"
  | "ASSISTANT_TECHNICAL_SPECIALIST"
  | "DATA_OPERATOR"
  | "REPLAY_OPERATOR";

export interface Entry {
  entry: string;
  category: string;
  name: string;
  club: string;
  status: CompetitorStatus;
  reason: string;
}

export type PerformanceState =
  | "PERFORMANCE_STATE_UNSPECIFIED"
  | "WAITING"
  | "ON_ICE"
  | "REVIEW"
  | "CONFIRMED"
  | "OUT";

export type Role =
  | "ROLE_UNSPECIFIED"
  | "ORGANISER"
  | "TECHNICAL_PANEL"
  | "JUDGE"
  | "REFEREE"
  | "ANNOUNCER"
  | "VIEWER"
  | "ADMIN";

export interface TokenInfo {
  id: string;
  role: Role;
  judge: number;
  label: string;
  createTime?: string;
  expireTime?: string;
  revoked: boolean;
}

export interface File {
  filename: string;
  contentType: string;
  data: string;
}

export interface GetPerformanceRequest {
  event: string;
  category: string;
  segment: string;
  entry: string;
}

export interface GetPerformanceResponse {
  performance?: Performance;
  sequence: string;
}

export interface GetSegmentStandingRequest {
  event: string;
  category: string;
  segment: string;
}

export interface GetSegmentStandingResponse {
  standing?: SegmentStanding;
  sequence: string;
}

export interface GetFinalStandingRequest {
  event: string;
  category: string;
}

export interface GetFinalStandingResponse {
  standing?: FinalStanding;
  sequence: string;
}

export interface GetDocumentRequest {
  event: string;
  category: string;
  document: Document;
  segment?: string;
  entry?: string;
  format?: DocumentFormat;
}

export interface GetDocumentResponse {
  file?: File;
}

export type Document =
  | "DOCUMENT_UNSPECIFIED"
  | "STARTING_ORDER"
  | "SEGMENT_RESULT"
  | "SCORE_SHEETS"
  | "FINAL_RESULT";

export type DocumentFormat =
  | "DOCUMENT_FORMAT_UNSPECIFIED"
  | "PDF"
  | "CSV";

export interface ListFactsRequest {
  event: string;
  afterSequence?: string;
  pageSize?: number;
}

export interface ListFactsResponse {
  facts: EventFact[];
}

export interface EventFact {
  sequence: string;
  time?: string;
  actor: string;
  kind: string;
  json: string;
  requestId: string;
}

export interface StartSegmentRequest {
  event: string;
  category: string;
  segment: string;
  requestId?: string;
  expectedSequence?: string;
}

export interface StartSegmentResponse {
  event?: Event;
  sequence: string;
}

export interface CallSkaterRequest {
  event: string;
  category: string;
  segment: string;
  entry?: string;
  requestId?: string;
  expectedSequence?: string;
}

export interface CallSkaterResponse {
  performance?: Performance;
  sequence: string;
}

export interface CallElementRequest {
  event: string;
  category: string;
  segment: string;
  entry: string;
  code?: string;
  skated?: LevelledElement;
  secondHalf?: boolean;
  before?: number;
  requestId?: string;
  expectedSequence?: string;
}

export interface CallElementResponse {
  performance?: Performance;
  element: number;
  sequence: string;
}

export interface ReviseElementRequest {
  event: string;
  category: string;
  segment: string;
  entry: string;
  element: number;
  code?: string;
  skated?: LevelledElement;
  secondHalf?: boolean;
  requestId?: string;
  expectedSequence?: string;
}

export interface ReviseElementResponse {
  performance?: Performance;
  sequence: string;
}

export interface RemoveElementRequest {
  event: string;
  category: string;
  segment: string;
  entry: string;
  element?: number;
  requestId?: string;
  expectedSequence?: string;
}

export interface RemoveElementResponse {
  performance?: Performance;
  sequence: string;
}

export interface ReviewElementRequest {
  event: string;
  category: string;
  segment: string;
  entry: string;
  element: number;
  inReview?: boolean;
  requestId?: string;
  expectedSequence?: string;
}

export interface ReviewElementResponse {
  performance?: Performance;
  sequence: string;
}

export interface EndProgramRequest {
  event: string;
  category: string;
  segment: string;
  entry: string;
  requestId?: string;
  expectedSequence?: string;
}

export interface EndProgramResponse {
  performance?: Performance;
  sequence: string;
}

export interface SetElementMarksRequest {
  event: string;
  category: string;
  segment: string;
  entry: string;
  judge: number;
  marks: GivenElementMark[];
  requestId?: string;
  expectedSequence?: string;
}

export interface SetElementMarksResponse {
  performance?: Performance;
  sequence: string;
}

export interface GivenElementMark {
  element: number;
  mark?: number;
}

export interface SetComponentMarksRequest {
  event: string;
  category: string;
  segment: string;
  entry: string;
  judge: number;
  marks: GivenComponentMark[];
  requestId?: string;
  expectedSequence?: string;
}

export interface SetComponentMarksResponse {
  performance?: Performance;
  sequence: string;
}

export interface GivenComponentMark {
  component: Component;
  mark?: number;
}

export interface SetDeductionsRequest {
  event: string;
  category: string;
  segment: string;
  entry: string;
  deductions?: Deduction[];
  requestId?: string;
  expectedSequence?: string;
}

export interface SetDeductionsResponse {
  performance?: Performance;
  sequence: string;
}

export interface ConfirmSkaterRequest {
  event: string;
  category: string;
  segment: string;
  entry: string;
  acceptMissingMarks?: boolean;
  requestId?: string;
  expectedSequence?: string;
}

export interface ConfirmSkaterResponse {
  performance?: Performance;
  sequence: string;
}

export interface CorrectResultRequest {
  event: string;
  category: string;
  segment: string;
  entry: string;
  reason: string;
  revisedElements?: RevisedElement[];
  removedElements?: number[];
  addedElements?: AddedElement[];
  elementMarks?: CorrectedElementMark[];
  componentMarks?: CorrectedComponentMark[];
  deductions?: CorrectedDeductions;
  requestId?: string;
  expectedSequence?: string;
}

export interface CorrectResultResponse {
  performance?: Performance;
  sequence: string;
}

export interface RevisedElement {
  element: number;
  code?: string;
  secondHalf?: boolean;
}

export interface AddedElement {
  code: string;
  secondHalf?: boolean;
  before?: number;
  marks: ElementMark[];
}

export interface CorrectedElementMark {
  element: number;
  judge: number;
  mark: number;
}

export interface CorrectedComponentMark {
  component: Component;
  judge: number;
  mark: number;
}

export interface CorrectedDeductions {
  deductions?: Deduction[];
}

export interface PublishSegmentRequest {
  event: string;
  category: string;
  segment: string;
  requestId?: string;
  expectedSequence?: string;
}

export interface PublishSegmentResponse {
  standing?: SegmentStanding;
  sequence: string;
}

export interface CreateEventRequest {
  event?: string;
  name: string;
  place?: string;
  startDate: string;
  endDate?: string;
  season: string;
  revision?: string;
  restricted?: boolean;
  requestId?: string;
}

export interface CreateEventResponse {
  event?: Event;
  sequence: string;
}

export interface GetEventRequest {
  event: string;
}

export interface GetEventResponse {
  event?: Event;
}

export interface GetCallerRequest {
  event: string;
}

export interface GetCallerResponse {
  role: Role;
  judge: number;
}

export interface ListEventsRequest {
  pageSize?: number;
  pageToken?: string;
}

export interface ListEventsResponse {
  events: EventSummary[];
  nextPageToken: string;
}

export interface UpdateEventRequest {
  event: string;
  name?: string;
  place?: string;
  startDate?: string;
  endDate?: string;
  season?: string;
  restricted?: boolean;
  requestId?: string;
  expectedSequence?: string;
}

export interface UpdateEventResponse {
  event?: Event;
  sequence: string;
}

export interface SetCategoryRequest {
  event: string;
  category: string;
  title?: string;
  rulesCategory?: string;
  segments?: string[];
  requestId?: string;
  expectedSequence?: string;
  scopes?: SegmentScope[];
}

export interface SegmentScope {
  segment: string;
  scope: string;
}

export interface SetCategoryResponse {
  event?: Event;
  sequence: string;
}

export interface RemoveCategoryRequest {
  event: string;
  category: string;
  requestId?: string;
  expectedSequence?: string;
}

export interface RemoveCategoryResponse {
  event?: Event;
  sequence: string;
}

export interface SetPanelRequest {
  event: string;
  category?: string;
  segment?: string;
  panel: EventPanel;
  requestId?: string;
  expectedSequence?: string;
}

export interface SetPanelResponse {
  event?: Event;
  sequence: string;
}

export interface SetAbsentJudgesRequest {
  event: string;
  category: string;
  segment: string;
  judges?: number[];
  requestId?: string;
  expectedSequence?: string;
}

export interface SetAbsentJudgesResponse {
  event?: Event;
  sequence: string;
}

export interface AddEntryRequest {
  event: string;
  entry?: string;
  category: string;
  name: string;
  club?: string;
  requestId?: string;
  expectedSequence?: string;
}

export interface AddEntryResponse {
  entry?: Entry;
  sequence: string;
}

export interface UpdateEntryRequest {
  event: string;
  entry: string;
  name?: string;
  club?: string;
  category?: string;
  requestId?: string;
  expectedSequence?: string;
}

export interface UpdateEntryResponse {
  entry?: Entry;
  sequence: string;
}

export interface ListEntriesRequest {
  event: string;
  category?: string;
}

export interface ListEntriesResponse {
  entries: Entry[];
}

export interface ImportEntriesRequest {
  event: string;
  csv: string;
  requestId?: string;
  expectedSequence?: string;
}

export interface ImportEntriesResponse {
  added: number;
  changed: number;
  sequence: string;
}

export interface ExportEntriesRequest {
  event: string;
  category?: string;
}

export interface ExportEntriesResponse {
  file?: File;
}

export interface WithdrawEntryRequest {
  event: string;
  entry: string;
  status?: CompetitorStatus;
  reason?: string;
  requestId?: string;
  expectedSequence?: string;
}

export interface WithdrawEntryResponse {
  entry?: Entry;
  sequence: string;
}

export interface ReinstateEntryRequest {
  event: string;
  entry: string;
  reason: string;
  requestId?: string;
  expectedSequence?: string;
}

export interface ReinstateEntryResponse {
  entry?: Entry;
  sequence: string;
}

export interface ErasePersonRequest {
  event: string;
  entry: string;
  requestId?: string;
  expectedSequence?: string;
}

export interface ErasePersonResponse {
  entry?: Entry;
  sequence: string;
}

export interface DrawStartingOrderRequest {
  event: string;
  category: string;
  segment: string;
  method?: OrderMethod;
  seed?: string;
  entries?: string[];
  groupSize?: number;
  qualified?: number;
  requestId?: string;
  expectedSequence?: string;
}

export interface DrawStartingOrderResponse {
  event?: Event;
  sequence: string;
}

export interface CreateTokenRequest {
  event: string;
  role: Role;
  judge?: number;
  label?: string;
  lifetime?: string;
  requestId?: string;
  expectedSequence?: string;
}

export interface CreateTokenResponse {
  token: string;
  info?: TokenInfo;
  sequence: string;
}

export interface ListTokensRequest {
  event: string;
}

export interface ListTokensResponse {
  tokens: TokenInfo[];
}

export interface RevokeTokenRequest {
  event: string;
  token: string;
  requestId?: string;
  expectedSequence?: string;
}

export interface RevokeTokenResponse {
  info?: TokenInfo;
  sequence: string;
}

export interface Performance {
  category: string;
  segment: string;
  entry: string;
  name: string;
  club: string;
  number: number;
  state: PerformanceState;
  elements: PerformedElement[];
  components: PerformedComponent[];
  deductions: ScoredDeduction[];
  absentJudges: number[];
  elementScore: string;
  componentScore: string;
  totalDeductions: string;
  segmentScore: string;
  corrections: Correction[];
  missing: string[];
  warnings: Warning[];
  scoreToConfirm?: ScoreToConfirm;
}

export interface ScoreToConfirm {
  elementScore: string;
  componentScore: string;
  totalDeductions: string;
  segmentScore: string;
  place: number;
  finalPlace: number;
}

export interface PerformedElement {
  element: number;
  code: string;
  secondHalf: boolean;
  inReview: boolean;
  baseValue: string;
  goe: string;
  score: string;
  marks: ElementMark[];
  marksGiven: number;
  call?: CalledElement;
}

export interface ElementMark {
  judge: number;
  mark?: number;
}

export interface PerformedComponent {
  component: Component;
  name: string;
  factor: string;
  panelScore: string;
  score: string;
  marks: ComponentMark[];
  marksGiven: number;
}

export interface ComponentMark {
  judge: number;
  mark: number;
}

export interface Correction {
  time?: string;
  by: string;
  reason: string;
  scoreBefore: string;
  scoreAfter: string;
}

export interface SegmentStanding {
  category: string;
  segment: string;
  status: ResultStatus;
  places: SegmentPlace[];
  rules?: RulesInfo;
  warnings: Warning[];
}

export type ResultStatus =
  | "RESULT_STATUS_UNSPECIFIED"
  | "PROVISIONAL"
  | "OFFICIAL";

export interface SegmentPlace {
  place: number;
  entry: string;
  name: string;
  club: string;
  number: number;
  segmentScore: string;
  elementScore: string;
  componentScore: string;
  totalDeductions: string;
  tieBrokenBy: string;
  shared: boolean;
  status: CompetitorStatus;
  corrected: boolean;
}

export interface FinalStanding {
  category: string;
  status: ResultStatus;
  places: FinalPlace[];
  rules?: RulesInfo;
  warnings: Warning[];
}

export interface FinalPlace {
  place: number;
  entry: string;
  name: string;
  club: string;
  totalScore: string;
  segments: RankedSegment[];
  tieBrokenBy: string;
  shared: boolean;
  status: CompetitorStatus;
  corrected: boolean;
}

export interface WatchEventRequest {
  event: string;
  afterSequence?: string;
}

export interface WatchEventResponse {
  sequence: string;
  reset: boolean;
  event?: Event;
  entries: Entry[];
  order?: StartingOrder;
  performance?: Performance;
  standing?: SegmentStanding;
  finalStanding?: FinalStanding;
  tokens: TokenInfo[];
  removed: RemovedMember[];
}

export interface StartingOrder {
  category: string;
  segment: string;
  state: SegmentState;
  places: StartingPlace[];
  draw?: OrderDraw;
}

export interface RemovedMember {
  member: string;
  id: string;
}

export interface LevelledElement {
  spin?: Spin;
  stepSequence?: StepSequence;
  pairLift?: PairLift;
  twistLift?: TwistLift;
  deathSpiral?: DeathSpiral;
  pairSpin?: PairSpin;
  patternDance?: PatternDance;
  danceElement?: DanceElement;
}

export interface Spin {
  flying?: Flying;
  difficultEntrance?: boolean;
  difficultExit?: boolean;
  feet: SpinFoot[];
  backwardEntry?: boolean;
}

export interface SpinFoot {
  change?: FootChange;
  directionReversed?: boolean;
  positions: SpinPosition[];
}

export interface SpinPosition {
  position: Position;
  lean?: Lean;
  variation?: Variation;
  revolutions: number;
  features?: PositionFeature[];
  edges?: EdgeChange;
}

export interface StepSequence {
  pattern?: StepPattern;
  turns?: Turns[];
  rotationsBothDirections?: boolean;
  bodyMovement?: boolean;
  turnCombinationLeft?: boolean;
  turnCombinationRight?: boolean;
  oneFootSection?: boolean;
  upperBody?: boolean;
  quickTurnCombinations?: boolean;
  partnerTurns?: Turns[];
  positionChanges?: boolean;
  notSeparating?: boolean;
  badlySpread?: boolean;
  notRecognisable?: boolean;
}

export interface Turns {
  type: TurnType;
  clockwise?: number;
  counterclockwise?: number;
}

export interface PairLift {
  code: string;
  features?: LiftFeature[];
  oneHandRevolutions?: number[];
}

export interface LiftFeature {
  feature: LiftReport;
  simple?: boolean;
  similar?: boolean;
  interrupted?: boolean;
}

export type LiftReport =
  | "LIFT_REPORT_UNSPECIFIED"
  | "DIFFICULT_TAKE_OFF"
  | "DIFFICULT_LANDING"
  | "CHANGE_OF_HOLD_OR_POSITION"
  | "WOMAN_VARIATION"
  | "DIFFICULT_CARRY"
  | "CHANGE_OF_ROTATION";

export interface TwistLift {
  code: string;
  features?: TwistFeature[];
}

export type TwistFeature =
  | "TWIST_FEATURE_UNSPECIFIED"
  | "SPLIT_POSITION"
  | "CAUGHT_AT_WAIST"
  | "ARMS_OVERHEAD"
  | "DIFFICULT_TAKE_OFF"
  | "PARTNER_ARMS_SIDEWAYS";

export interface DeathSpiral {
  code: string;
  revolutions: number;
  lowRevolutions?: number;
  difficultEntrance?: boolean;
  difficultExit?: boolean;
}

export interface PairSpin {
  positions: PairSpinPosition[];
  backwardEdgeEntrance?: boolean;
  bothDirections?: boolean;
}

export interface PairSpinPosition {
  woman: PartnerPosition;
  man: PartnerPosition;
  revolutions: number;
  changeOfFoot?: boolean;
}

export interface PartnerPosition {
  position: Position;
  variation?: Variation;
}

export interface PatternDance {
  code: string;
  keyPoints: KeyPoint[];
  incomplete?: boolean;
}

export type KeyPoint =
  | "KEY_POINT_UNSPECIFIED"
  | "Y"
  | "N"
  | "T";

export interface DanceElement {
  code: string;
  woman: DancePart;
  man: DancePart;
}

export interface DancePart {
  rotations: number;
  differentEntryEdges?: boolean;
  bothDirections?: boolean;
  additionalFeatures?: number;
}

export type Flying =
  | "FLYING_UNSPECIFIED"
  | "NONE"
  | "STEP_OVER"
  | "PLAIN"
  | "DIFFICULT";

export type FootChange =
  | "FOOT_CHANGE_UNSPECIFIED"
  | "STEP"
  | "JUMP"
  | "CURVES";

export type Position =
  | "POSITION_UNSPECIFIED"
  | "CAMEL"
  | "SIT"
  | "UPRIGHT"
  | "LAYBACK"
  | "NON_BASIC";

export type Lean =
  | "LEAN_UNSPECIFIED"
  | "BACKWARD"
  | "SIDEWAYS";

export type Variation =
  | "VARIATION_UNSPECIFIED"
  | "CAMEL_FORWARD"
  | "CAMEL_SIDEWAYS"
  | "CAMEL_UPWARD"
  | "SIT_FORWARD"
  | "SIT_SIDEWAYS"
  | "SIT_BEHIND"
  | "UPRIGHT_FORWARD"
  | "UPRIGHT_STRAIGHT_OR_SIDEWAYS"
  | "BIELLMANN"
  | "LAYBACK"
  | "NON_BASIC";

export type PositionFeature =
  | "POSITION_FEATURE_UNSPECIFIED"
  | "JUMP_WITHIN"
  | "DIFFICULT_CHANGE_OF_POSITION"
  | "CHANGE_OF_EDGE"
  | "INCREASE_OF_SPEED"
  | "DIFFICULT_BLADE"
  | "WINDMILL";

export type EdgeChange =
  | "EDGE_CHANGE_UNSPECIFIED"
  | "BI_FO"
  | "FO_BI"
  | "BO_FI"
  | "FI_BO";

export type StepPattern =
  | "STEP_PATTERN_UNSPECIFIED"
  | "STRAIGHT_LINE"
  | "CIRCULAR"
  | "SERPENTINE";

export type TurnType =
  | "TURN_TYPE_UNSPECIFIED"
  | "TWIZZLE"
  | "BRACKET"
  | "LOOP"
  | "COUNTER"
  | "ROCKER"
  | "CHOCTAW";

export interface CalledElement {
  code: string;
  level: string;
  noValue: boolean;
  reducedValue: boolean;
  baseValue: string;
  features: CalledFeature[];
  toNextLevel?: NextLevel;
  notes: string[];
}

export interface CalledFeature {
  feature: Feature;
  at: string;
  counted: boolean;
  reason?: FeatureReason;
  message: string;
  rule: string;
  where: string;
}

export interface NextLevel {
  level: string;
  options: LevelOption[];
}

export interface LevelOption {
  feature: Feature;
  message: string;
}

export type Feature =
  | "FEATURE_UNSPECIFIED"
  | "DIFFICULT_VARIATION"
  | "CHANGE_OF_FOOT_BY_JUMP"
  | "JUMP_WITHIN"
  | "DIFFICULT_CHANGE_OF_POSITION"
  | "DIFFICULT_ENTRANCE"
  | "DIFFICULT_EXIT"
  | "CHANGE_OF_EDGE"
  | "ALL_POSITIONS_ON_SECOND_FOOT"
  | "BOTH_DIRECTIONS"
  | "INCREASE_OF_SPEED"
  | "EIGHT_REVOLUTIONS"
  | "DIFFICULT_FLYING_ENTRY"
  | "DIFFICULT_BLADE"
  | "LAYBACK_SIDE_CHANGE"
  | "BIELLMANN_AFTER_LAYBACK"
  | "TURN_VARIETY"
  | "ROTATIONS_BOTH_DIRECTIONS"
  | "BODY_MOVEMENT"
  | "TURN_COMBINATIONS"
  | "ONE_FOOT_SECTION"
  | "UPPER_BODY"
  | "DIFFICULT_TAKE_OFF"
  | "DIFFICULT_LANDING"
  | "CHANGE_OF_HOLD_OR_POSITION"
  | "WOMAN_VARIATION"
  | "DIFFICULT_CARRY"
  | "ONE_HAND_HOLD"
  | "FURTHER_ONE_HAND_HOLD"
  | "CHANGE_OF_ROTATION"
  | "SPLIT_POSITION"
  | "CAUGHT_AT_WAIST"
  | "ARMS_OVERHEAD"
  | "PARTNER_ARMS_SIDEWAYS"
  | "LOW_REVOLUTION"
  | "CHANGES_OF_POSITION"
  | "VARIATIONS_OF_BOTH"
  | "FURTHER_VARIATION"
  | "BACKWARD_EDGE_ENTRANCE"
  | "SIX_REVOLUTIONS"
  | "POSITION_CHANGES_OR_HOLD"
  | "KEY_POINT"
  | "TWIZZLE_ROTATIONS"
  | "DIFFERENT_ENTRY_EDGES"
  | "ADDITIONAL_FEATURES"
  | "MANDATORY_FEATURE";

export type FeatureReason =
  | "FEATURE_REASON_UNSPECIFIED"
  | "LIMIT_PER_FOOT"
  | "ALREADY_USED"
  | "TOO_FEW_REVOLUTIONS"
  | "WRONG_POSITION"
  | "LIMIT_PER_SPIN"
  | "MANDATORY_FEATURE_MISSING"
  | "NOT_A_FEATURE_THIS_SEASON"
  | "NOT_IN_THIS_SEGMENT"
  | "USED_VARIATION"
  | "SURPLUS"
  | "MISSING_POSITION"
  | "SHARED_FEATURE"
  | "LEVEL_CAP"
  | "NO_VARIETY"
  | "INCOMPLETE"
  | "LIMIT_PER_ELEMENT"
  | "SIMILAR_TO_EARLIER"
  | "INTERRUPTED"
  | "TOO_SIMPLE"
  | "KEY_POINT_NOT_MET"
  | "KEY_POINT_TIMING"
  | "ELEMENT_FAULT"
  | "NOT_CALLED";

export interface CheckProgramRequest {
  season: string;
  revision?: string;
  category: string;
  segment: string;
  scope?: string;
  elements?: PlannedElement[];
  text?: string;
  components?: ExpectedComponent[];
  durationSeconds?: number;
  compareSeason?: string;
  partial?: boolean;
  keepPanelCalls?: boolean;
}

export interface PlannedElement {
  code: string;
  secondHalf?: boolean;
  grade?: number;
}

export interface ExpectedComponent {
  component: Component;
  mark: number;
}

export interface CheckProgramResponse {
  elements: CreditedElement[];
  findings: Finding[];
  totalBaseValue: string;
  kinds: KindTotal[];
  predicted?: PredictedScore;
  caution: string;
  rules?: RulesInfo;
  warnings: Warning[];
  compared?: CheckProgramResponse;
  leftOut: LeftOut[];
}

export interface LeftOut {
  field: string;
  reason: string;
  message: string;
}

export interface CreditedElement {
  code: string;
  kind: string;
  name: string;
  baseValue: string;
  parts: Part[];
  factors: Factor[];
  goe: string;
  score: string;
  findings: number[];
  worth: ElementChange[];
}

export interface ElementChange {
  call: PanelCall;
  jump?: number;
  code: string;
  difference: string;
  message: string;
}

export type PanelCall =
  | "PANEL_CALL_UNSPECIFIED"
  | "NEXT_LEVEL"
  | "ON_QUARTER"
  | "UNDER_ROTATED"
  | "DOWNGRADED"
  | "UNCLEAR_EDGE"
  | "WRONG_EDGE"
  | "FALL";

export interface Finding {
  severity: Severity;
  code: FindingCode;
  element?: number;
  jump?: number;
  at: string;
  rule: string;
  source: string;
  confidence: string;
  message: string;
  advice: string;
}

export type Severity =
  | "SEVERITY_UNSPECIFIED"
  | "INFO"
  | "WARNING"
  | "ERROR";

export type FindingCode =
  | "FINDING_CODE_UNSPECIFIED"
  | "TOO_MANY_ELEMENTS"
  | "ELEMENT_MISSING"
  | "ELEMENT_NOT_ALLOWED"
  | "SAME_ELEMENT"
  | "TOO_MANY_COMBINATIONS"
  | "TOO_MANY_LONG_COMBINATIONS"
  | "COMBINATION_TOO_LONG"
  | "COMBINATION_MISSING"
  | "READ_AS_SEQUENCE"
  | "SEQUENCE_NOT_ALLOWED"
  | "AFTER_BREAK"
  | "JUMP_TOO_OFTEN"
  | "TOO_MANY_REPEATED_JUMPS"
  | "TOO_MANY_REPEATED_QUADS"
  | "REPEATED_ALONE"
  | "REQUIRED_JUMP_MISSING"
  | "JUMP_NOT_ALLOWED"
  | "WRONG_AXEL"
  | "WRONG_SOLO_JUMP"
  | "WRONG_COMBINATION_JUMP"
  | "TOO_MANY_DOUBLES"
  | "JUMP_TWICE"
  | "SPIN_SAME_CODE"
  | "SPIN_NOT_REQUIRED"
  | "SPIN_MISSING"
  | "LEVEL_CAPPED"
  | "NO_LEVEL"
  | "NO_TURNS"
  | "TOO_LONG"
  | "TOO_SHORT"
  | "EULER_MISPLACED"
  | "CALLS_TAKEN_OFF";

export interface KindTotal {
  kind: string;
  count: number;
  baseValue: string;
  score: string;
}

export interface PredictedScore {
  elementScore: string;
  componentScore: string;
  total: string;
}

export type CompetitorStatus =
  | "COMPETITOR_STATUS_UNSPECIFIED"
  | "COMPETING"
  | "WITHDRAWN"
  | "DISQUALIFIED";

export interface SegmentScore {
  segment: string;
  segmentScore: string;
  elementScore?: string;
  componentScore?: string;
  status?: CompetitorStatus;
}

export interface RankSegmentRequest {
  season: string;
  revision?: string;
  segment: string;
  entries: SegmentEntry[];
}

export interface SegmentEntry {
  id: string;
  segmentScore: string;
  elementScore?: string;
  componentScore?: string;
  status?: CompetitorStatus;
}

export interface RankSegmentResponse {
  entries: RankedEntry[];
  rules?: RulesInfo;
  warnings: Warning[];
}

export interface RankedEntry {
  id: string;
  place: number;
  segmentScore: string;
  tieBrokenBy: string;
  shared: boolean;
}

export interface RankEventRequest {
  season: string;
  revision?: string;
  category?: string;
  competitors: Competitor[];
}

export interface Competitor {
  id: string;
  segments?: SegmentScore[];
  status?: CompetitorStatus;
}

export interface RankEventResponse {
  competitors: RankedCompetitor[];
  rules?: RulesInfo;
  warnings: Warning[];
}

export interface RankedCompetitor {
  id: string;
  place: number;
  totalScore: string;
  tieBrokenBy: string;
  shared: boolean;
  segments: RankedSegment[];
}

export interface RankedSegment {
  segment: string;
  place: number;
  segmentScore: string;
}

export interface ListSeasonsRequest {
}

export interface ListSeasonsResponse {
  seasons: SeasonSummary[];
  current: string;
  warnings: Warning[];
}

export interface SeasonSummary {
  season: string;
  title: string;
  revision: string;
  validFrom: string;
  validTo: string;
  disciplines: string[];
}

export interface GetSeasonRequest {
  season: string;
  revision?: string;
}

export interface GetSeasonResponse {
  season?: Season;
  warnings: Warning[];
}

export interface Season {
  season: string;
  title: string;
  revision: string;
  validFrom: string;
  validTo: string;
  extends: string;
  goe?: GoeScale;
  componentMarks?: ComponentScale;
  panel?: Panel;
  categories: Category[];
  deductions: DeductionRule[];
  signs: SignRule[];
  valueSources: ValueSource[];
  rules: Rule[];
  levelFeatures: LevelFeature[];
}

export interface LevelFeature {
  feature: Feature;
  title: string;
  short: string;
  kinds: string[];
  positions: string[];
  reach: string;
  reported: string;
}

export interface GoeScale {
  min: number;
  max: number;
  percentPerGrade: number;
}

export interface ComponentScale {
  min: number;
  max: number;
  step: number;
}

export interface Panel {
  minJudges: number;
  maxJudges: number;
  trimFrom: number;
  trim: number;
  draw: boolean;
}

export interface Category {
  category: string;
  title: string;
  discipline: string;
  level: string;
  maxLevel: number;
  segments: Segment[];
  deductions: DeductionRule[];
}

export interface Segment {
  segment: string;
  title: string;
  components: SegmentComponent[];
  secondHalf?: SecondHalf;
}

export interface SegmentComponent {
  component: Component;
  name: string;
  factor: string;
}

export interface SecondHalf {
  which: string;
  last: number;
  percent: number;
  kinds: string[];
  text: string;
}

export interface DeductionRule {
  kind: DeductionKind;
  points: string[];
  note: string;
}

export interface SignRule {
  sign: string;
  value: string;
  percent: number;
}

export interface ValueSource {
  discipline: string;
  elements: number;
  source: string;
}

export interface Rule {
  key: string;
  value: string;
  source: string;
  confidence: string;
  note: string;
  title: string;
}

export interface ListElementsRequest {
  season: string;
  revision?: string;
  discipline?: string;
  kind?: string;
  pageSize?: number;
  pageToken?: string;
}

export interface ListElementsResponse {
  elements: Element[];
  nextPageToken: string;
  rules?: RulesInfo;
  warnings: Warning[];
}

export interface GetElementRequest {
  season: string;
  code: string;
  category?: string;
  revision?: string;
  scope?: string;
}

export interface GetElementResponse {
  element?: Element;
  rules?: RulesInfo;
  warnings: Warning[];
}

export interface Element {
  code: string;
  name: string;
  kind: string;
  discipline: string;
  baseValue: string;
  goePoints: GoePoints[];
  reducedForms: ReducedForm[];
  source: string;
  confidence: string;
  scope: string;
}

export interface GoePoints {
  mark: number;
  points: string;
  confidence: string;
}

export interface ReducedForm {
  code: string;
  baseValue: string;
}

export interface CompareSeasonsRequest {
  from: string;
  to: string;
  discipline?: string;
}

export interface CompareSeasonsResponse {
  from?: RulesInfo;
  to?: RulesInfo;
  changed: ValueChange[];
  added: ElementValue[];
  removed: ElementValue[];
  ruleChanges: RuleChange[];
  warnings: Warning[];
}

export interface ValueChange {
  code: string;
  discipline: string;
  from: string;
  to: string;
  difference: string;
  scope: string;
}

export interface ElementValue {
  code: string;
  discipline: string;
  baseValue: string;
  scope: string;
}

export interface RuleChange {
  key: string;
  from: string;
  to: string;
}

export interface GetScoreboardRequest {
  event: string;
}

export interface GetScoreboardResponse {
  scoreboard?: Scoreboard;
}

export interface WatchScoreboardRequest {
  event: string;
  afterSequence?: string;
  changes?: boolean;
}

export interface WatchScoreboardResponse {
  scoreboard?: Scoreboard;
  heartbeat?: Heartbeat;
  reset: boolean;
  changed: string[];
}

export interface Heartbeat {
  sequence: string;
}

export interface Scoreboard {
  event: string;
  name: string;
  place: string;
  sequence: string;
  time?: string;
  segment?: ScoreboardSegment;
  skater?: ScoreboardSkater;
  next: StartingPlace[];
  standing?: SegmentStanding;
  finalStanding?: FinalStanding;
  segments: ScoreboardSegment[];
  warnings: Warning[];
}

export interface ScoreboardSegment {
  category: string;
  categoryTitle: string;
  segment: string;
  segmentTitle: string;
  state: SegmentState;
  status: ResultStatus;
  confirmed: number;
  performances: number;
}

export interface ScoreboardSkater {
  performance?: Performance;
  place: number;
  finalPlace: number;
  lead?: Lead;
}

export interface Lead {
  entry: string;
  name: string;
  totalScore: string;
  segmentScoreToExceed: string;
}

export interface CallLevelsRequest {
  season: string;
  revision?: string;
  category: string;
  segment: string;
  elements: LevelledElement[];
}

export interface CallLevelsResponse {
  elements: CalledElement[];
  rules?: RulesInfo;
  warnings: Warning[];
  caution: string;
}

export interface ValueElementsRequest {
  season: string;
  revision?: string;
  category: string;
  segment: string;
  elements: SkatedElement[];
  scope?: string;
}

export interface SkatedElement {
  code: string;
  secondHalf?: boolean;
}

export interface ValueElementsResponse {
  elements: ValuedElement[];
  totalBaseValue: string;
  rules?: RulesInfo;
  warnings: Warning[];
}

export interface ValuedElement {
  code: string;
  baseValue: string;
  parts: Part[];
  factors: Factor[];
}

export interface ScoreSegmentRequest {
  season: string;
  revision?: string;
  category: string;
  segment: string;
  elements: MarkedElement[];
  components: MarkedComponent[];
  countedJudges?: number[];
  absentJudges?: number[];
  deductions?: Deduction[];
  explain?: boolean;
  scope?: string;
}

export interface MarkedElement {
  code: string;
  secondHalf?: boolean;
  marks: number[];
  missingMarks?: MissingMark[];
}

export interface MissingMark {
  judge: number;
}

export interface MarkedComponent {
  component: Component;
  marks: number[];
}

export interface Deduction {
  kind: DeductionKind;
  count?: number;
  value?: string;
  note?: string;
}

export interface ScoreSegmentResponse {
  elements: ScoredElement[];
  elementScore: string;
  components: ScoredComponent[];
  componentScore: string;
  deductions: ScoredDeduction[];
  totalDeductions: string;
  segmentScore: string;
  steps: string[];
  rules?: RulesInfo;
  warnings: Warning[];
}

export interface ScoredElement {
  code: string;
  baseValue: string;
  goe: string;
  score: string;
  parts: Part[];
  factors: Factor[];
}

export interface ScoredComponent {
  component: Component;
  name: string;
  panelScore: string;
  factor: string;
  score: string;
}

export interface ScoredDeduction {
  kind: DeductionKind;
  count: number;
  value: string;
  note: string;
}

export interface ScoreSegmentsRequest {
  segment: ScoreSegmentRequest;
}

export interface ScoreSegmentsResponse {
  result?: SegmentResult;
}

export interface BatchScoreSegmentsRequest {
  season: string;
  revision?: string;
  segments: ScoreSegmentRequest[];
}

export interface BatchScoreSegmentsResponse {
  results: SegmentResult[];
}

export interface SegmentResult {
  score?: ScoreSegmentResponse;
  error?: Status;
}

export interface RulesInfo {
  season: string;
  revision: string;
  title: string;
}

export interface Warning {
  code: string;
  message: string;
  rule: string;
  confidence: string;
  fields: string[];
}

export type Component =
  | "COMPONENT_UNSPECIFIED"
  | "SKATING_SKILLS"
  | "TRANSITIONS"
  | "PERFORMANCE"
  | "COMPOSITION"
  | "INTERPRETATION"
  | "TIMING"
  | "PRESENTATION";

export type DeductionKind =
  | "DEDUCTION_KIND_UNSPECIFIED"
  | "FALL"
  | "TIME_VIOLATION"
  | "INTERRUPTION"
  | "COSTUME"
  | "COSTUME_FAILURE"
  | "ILLEGAL_ELEMENT"
  | "MUSIC"
  | "MUSIC_TEMPO"
  | "EXTENDED_LIFT"
  | "EXTRA_ELEMENT"
  | "LATE_START"
  | "OTHER";

export interface Part {
  code: string;
  baseValue: string;
}

export interface Factor {
  kind: FactorKind;
  by: string;
}

export type FactorKind =
  | "FACTOR_KIND_UNSPECIFIED"
  | "SECOND_HALF"
  | "SEQUENCE"
  | "REPEAT"
  | "COMBINATION_INCOMPLETE";
