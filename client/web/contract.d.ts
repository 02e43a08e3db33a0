// Written by "make generate" from the protos.

/** Calls has the request and the answer of every call. */
export interface Calls {
  /**
   * GetCopy says what a copy holds, so that the rink sends only what differs. A copy
   * that is not there holds nothing.
   */
  GetCopy: { request: GetCopyRequest; answer: GetCopyResponse };
  /**
   * UpdateCopy makes a copy or brings it up to date. Without answers it says that the
   * rink is there and nothing has changed. The same update again changes nothing.
   */
  UpdateCopy: { request: UpdateCopyRequest; answer: UpdateCopyResponse };
  /**
   * RemoveCopy takes a copy off, as when reading the event has been restricted. One
   * that is not there is as good as removed.
   */
  RemoveCopy: { request: RemoveCopyRequest; answer: RemoveCopyResponse };
  /**
   * GetPublication says where this server sends an event and whether that works, for
   * the event's organiser.
   */
  GetPublication: { request: GetPublicationRequest; answer: GetPublicationResponse };
  /** CreateEvent makes an event and pins the season's table. */
  CreateEvent: { request: CreateEventRequest; answer: CreateEventResponse };
  /**
   * GetEvent shows an event with its categories, segments, panels and starting
   * orders.
   */
  GetEvent: { request: GetEventRequest; answer: GetEventResponse };
  /**
   * GetCaller says what the caller's token is for, so that a desk page knows who
   * sits at it.
   */
  GetCaller: { request: GetCallerRequest; answer: GetCallerResponse };
  /** ListEvents lists the events by id. */
  ListEvents: { request: ListEventsRequest; answer: ListEventsResponse };
  /**
   * UpdateEvent changes what an event is called and when it is; before the first
   * segment starts also its season.
   */
  UpdateEvent: { request: UpdateEventRequest; answer: UpdateEventResponse };
  /** SetCategory adds a category, or changes one that has no starting order yet. */
  SetCategory: { request: SetCategoryRequest; answer: SetCategoryResponse };
  /** RemoveCategory takes a category without entries out. */
  RemoveCategory: { request: RemoveCategoryRequest; answer: RemoveCategoryResponse };
  /** SetPanel says who judges: the whole event, or one segment. */
  SetPanel: { request: SetPanelRequest; answer: SetPanelResponse };
  /**
   * SetAbsentJudges says which judges of a segment are absent, from the next
   * confirmation on.
   */
  SetAbsentJudges: { request: SetAbsentJudgesRequest; answer: SetAbsentJudgesResponse };
  /**
   * AddEntry adds a competitor, until the result of the category's first segment
   * is signed. Who comes after its starting order was made has to be put into it:
   * see DrawStartingOrder.
   */
  AddEntry: { request: AddEntryRequest; answer: AddEntryResponse };
  /** UpdateEntry changes how a competitor is printed. */
  UpdateEntry: { request: UpdateEntryRequest; answer: UpdateEntryResponse };
  /** ListEntries lists the competitors. */
  ListEntries: { request: ListEntriesRequest; answer: ListEntriesResponse };
  /** ImportEntries adds competitors from CSV, all or none. */
  ImportEntries: { request: ImportEntriesRequest; answer: ImportEntriesResponse };
  /** ExportEntries returns the competitors as CSV that ImportEntries reads. */
  ExportEntries: { request: ExportEntriesRequest; answer: Blob };
  /**
   * WithdrawEntry takes a competitor out. Scores that are confirmed stay on the
   * sheets. Who withdraws keeps the places in the segments skated and has none
   * over them; who is disqualified has no place at all. What the referee has
   * signed of these places, only the referee can take away or give back.
   */
  WithdrawEntry: { request: WithdrawEntryRequest; answer: WithdrawEntryResponse };
  /** ReinstateEntry takes a withdrawal back. */
  ReinstateEntry: { request: ReinstateEntryRequest; answer: ReinstateEntryResponse };
  /**
   * ErasePerson erases who a competitor is: name, club, and why the competitor
   * withdrew. Scores, places and the rest of the log stay as they are, under the
   * entry's id. It cannot be undone. Copies made earlier still have the name.
   */
  ErasePerson: { request: ErasePersonRequest; answer: ErasePersonResponse };
  /**
   * DrawStartingOrder makes the starting order of a segment. Made again for a late
   * entry, a draw with the same seed keeps the others in their order; or the
   * referee places the entry in an order that is GIVEN. Once the segment has
   * started only that is possible, and it begins with those up to who was called
   * last.
   */
  DrawStartingOrder: { request: DrawStartingOrderRequest; answer: DrawStartingOrderResponse };
  /**
   * BeginRehearsal makes a rehearsal of an event whose first segment has not started: an
   * event of its own with the same skaters, orders and desks, in which everybody's
   * token for the event holds too, so that the panel can play with invented marks on
   * the desks where it sits. It is in the server's memory only, no list has it, and
   * without a token nobody reads it. While there is one, it is answered again.
   */
  BeginRehearsal: { request: BeginRehearsalRequest; answer: BeginRehearsalResponse };
  /**
   * EndRehearsal ends the rehearsal of an event, if there is one. Nothing of it is
   * left. A server that stops ends it too.
   */
  EndRehearsal: { request: EndRehearsalRequest; answer: EndRehearsalResponse };
  /**
   * StartSegment opens a segment that has a starting order and a panel, once the
   * segment before it is skated and nobody of any segment is on the ice.
   */
  StartSegment: { request: StartSegmentRequest; answer: StartSegmentResponse };
  /** CallSkater calls the next skater to the ice. */
  CallSkater: { request: CallSkaterRequest; answer: CallSkaterResponse };
  /**
   * CallElement adds an element: by its code, or by what was skated, from which
   * the level is found.
   */
  CallElement: { request: CallElementRequest; answer: CallElementResponse };
  /** ReviseElement changes an element. Marks that were given stay. */
  ReviseElement: { request: ReviseElementRequest; answer: ReviseElementResponse };
  /** RemoveElement takes an element out; the last one when none is named. */
  RemoveElement: { request: RemoveElementRequest; answer: RemoveElementResponse };
  /** ReviewElement marks an element to be looked at again, or takes that mark off. */
  ReviewElement: { request: ReviewElementRequest; answer: ReviewElementResponse };
  /** EndProgram says that the skater has finished; calls and marks stay open. */
  EndProgram: { request: EndProgramRequest; answer: EndProgramResponse };
  /**
   * SetElementMarks gives one judge's marks for elements. A later mark replaces
   * an earlier one.
   */
  SetElementMarks: { request: SetElementMarksRequest; answer: SetElementMarksResponse };
  /**
   * SetComponentMarks gives one judge's marks for components. A later mark
   * replaces an earlier one.
   */
  SetComponentMarks: { request: SetComponentMarksRequest; answer: SetComponentMarksResponse };
  /** SetDeductions says what is taken off; it replaces what was said before. */
  SetDeductions: { request: SetDeductionsRequest; answer: SetDeductionsResponse };
  /** ConfirmSkater confirms a performance, which gives its score. */
  ConfirmSkater: { request: ConfirmSkaterRequest; answer: ConfirmSkaterResponse };
  /**
   * CorrectResult changes a confirmed performance, with a reason that is kept and
   * shown.
   */
  CorrectResult: { request: CorrectResultRequest; answer: CorrectResultResponse };
  /**
   * PreviewCorrection says what CorrectResult would make of the same request: the
   * score, and whose places would change. It changes nothing.
   */
  PreviewCorrection: { request: PreviewCorrectionRequest; answer: PreviewCorrectionResponse };
  /**
   * PublishSegment is the referee's signature: the segment's result is official.
   * It is given once; what is corrected later is signed with the correction.
   */
  PublishSegment: { request: PublishSegmentRequest; answer: PublishSegmentResponse };
  /** GetPerformance shows the score sheet of one entry in one segment. */
  GetPerformance: { request: GetPerformanceRequest; answer: GetPerformanceResponse };
  /** GetSegmentStanding shows the places of a segment. */
  GetSegmentStanding: { request: GetSegmentStandingRequest; answer: GetSegmentStandingResponse };
  /** GetFinalStanding shows the result over a category's segments. */
  GetFinalStanding: { request: GetFinalStandingRequest; answer: GetFinalStandingResponse };
  /** GetDocument returns a starting order, result or score sheets as CSV or PDF. */
  GetDocument: { request: GetDocumentRequest; answer: Blob };
  /** ListFacts shows the log of an event: who did what when. */
  ListFacts: { request: ListFactsRequest; answer: ListFactsResponse };
  /** CreateToken makes a token. Its secret is shown this once. */
  CreateToken: { request: CreateTokenRequest; answer: CreateTokenResponse };
  /** ListTokens lists the tokens of an event, without their secrets. */
  ListTokens: { request: ListTokensRequest; answer: ListTokensResponse };
  /** RevokeToken ends a token at once. */
  RevokeToken: { request: RevokeTokenRequest; answer: RevokeTokenResponse };
  /**
   * CreateSeatCode makes a code of six characters, with which one person sits down at
   * a desk: it works once, within 15 minutes. An earlier code for the same desk ends.
   */
  CreateSeatCode: { request: CreateSeatCodeRequest; answer: CreateSeatCodeResponse };
  /**
   * TakeSeat exchanges a code for a token of its desk. It needs no token; wrong codes
   * are limited by address and by event.
   */
  TakeSeat: { request: TakeSeatRequest; answer: TakeSeatResponse };
  /** CreateBook makes an empty book, and its token. */
  CreateBook: { request: CreateBookRequest; answer: CreateBookResponse };
  /** GetBook shows a book. */
  GetBook: { request: GetBookRequest; answer: GetBookResponse };
  /**
   * UpdateBook changes what a book is called, and the words that it offers for the
   * cause of a miss.
   */
  UpdateBook: { request: UpdateBookRequest; answer: UpdateBookResponse };
  /**
   * DeleteBook deletes a book with all that is in it. When it has answered, nothing of
   * it is left in the server's tables; copies made earlier still have it. It cannot be
   * undone.
   */
  DeleteBook: { request: DeleteBookRequest; answer: DeleteBookResponse };
  /**
   * RenewBookToken makes another token for a book and ends the one before at once.
   * The new one is shown this once.
   */
  RenewBookToken: { request: RenewBookTokenRequest; answer: RenewBookTokenResponse };
  /** AddSkater adds a skater. */
  AddSkater: { request: AddSkaterRequest; answer: AddSkaterResponse };
  /** ListSkaters lists the skaters of a book. */
  ListSkaters: { request: ListSkatersRequest; answer: ListSkatersResponse };
  /** UpdateSkater changes a skater's name, category and planned programs. */
  UpdateSkater: { request: UpdateSkaterRequest; answer: UpdateSkaterResponse };
  /**
   * DeleteSkater deletes a skater with all attempts and changes. When it has answered,
   * nothing of them is left in the server's tables; copies made earlier still have
   * them. It cannot be undone. One that is not there any more is no error.
   */
  DeleteSkater: { request: DeleteSkaterRequest; answer: DeleteSkaterResponse };
  /**
   * AddAttempts adds attempts, all or none. A repeated call answers the same and adds
   * nothing.
   */
  AddAttempts: { request: AddAttemptsRequest; answer: AddAttemptsResponse };
  /** ListAttempts lists attempts, the newest first. */
  ListAttempts: { request: ListAttemptsRequest; answer: ListAttemptsResponse };
  /** UpdateAttempt changes an attempt, such as by its cause. */
  UpdateAttempt: { request: UpdateAttemptRequest; answer: UpdateAttemptResponse };
  /** DeleteAttempt takes an attempt out. One that is not there any more is no error. */
  DeleteAttempt: { request: DeleteAttemptRequest; answer: DeleteAttemptResponse };
  /**
   * ImportAttempts adds attempts from CSV, all or none. Attempts that are there
   * already are passed over.
   */
  ImportAttempts: { request: ImportAttemptsRequest; answer: ImportAttemptsResponse };
  /**
   * ExportAttempts returns attempts as CSV that ImportAttempts reads, the oldest
   * first.
   */
  ExportAttempts: { request: ExportAttemptsRequest; answer: Blob };
  /**
   * ListRunThroughs lists the run-throughs of a program, the newest first, each with the
   * score that its elements would have had.
   */
  ListRunThroughs: { request: ListRunThroughsRequest; answer: ListRunThroughsResponse };
  /**
   * AddChange notes what was changed in practice, and when: GetAbilities compares the
   * attempts before it with those since.
   */
  AddChange: { request: AddChangeRequest; answer: AddChangeResponse };
  /** ListChanges lists the changes, the newest first. */
  ListChanges: { request: ListChangesRequest; answer: ListChangesResponse };
  /** DeleteChange takes a change out. One that is not there any more is no error. */
  DeleteChange: { request: DeleteChangeRequest; answer: DeleteChangeResponse };
  /**
   * GetAbilities counts the attempts: what PlanProgram takes as abilities, and of each
   * element how it has come week by week, why it was missed, and what it was before
   * and after each noted change.
   */
  GetAbilities: { request: GetAbilitiesRequest; answer: GetAbilitiesResponse };
  /**
   * CheckProgram credits each element as the season's rules would, says what
   * is struck, reduced or missing and why, and what one level or one call would
   * change.
   */
  CheckProgram: { request: CheckProgramRequest; answer: CheckProgramResponse };
  /**
   * BatchCheckPrograms checks up to 1000 programs. A bad program is answered with
   * its error; the others are checked.
   */
  BatchCheckPrograms: { request: BatchCheckProgramsRequest; answer: BatchCheckProgramsResponse };
  /**
   * PlanProgram finds the legal program with the highest expected score from what
   * a skater can do and how it comes, proves that none is better, and says how the
   * score spreads and what practice of each ability is worth.
   */
  PlanProgram: { request: PlanProgramRequest; answer: PlanProgramResponse };
  /** RankSegment returns the places of one segment. */
  RankSegment: { request: RankSegmentRequest; answer: RankSegmentResponse };
  /**
   * RankEvent returns the places of every segment skated and the result over all
   * of them. Competitors who skated more segments stand before those who
   * skated fewer.
   */
  RankEvent: { request: RankEventRequest; answer: RankEventResponse };
  /** ListSeasons lists the seasons that have a table, oldest first. */
  ListSeasons: { request: ListSeasonsRequest; answer: ListSeasonsResponse };
  /**
   * GetSeason shows one season's table: scales, categories and segments,
   * components and factors, deductions, signs, and every rule with its source.
   */
  GetSeason: { request: GetSeasonRequest; answer: GetSeasonResponse };
  /**
   * ListElements lists the elements that have a base value in a season. With
   * "Accept: text/csv" the answer is that of ExportElements, without pages.
   */
  ListElements: { request: ListElementsRequest; answer: ListElementsResponse };
  /**
   * ExportElements returns the elements of ListElements, all of them, as CSV: one row
   * for each with the points of every mark. GET …/elements with "Accept: text/csv"
   * is the same.
   */
  ExportElements: { request: ExportElementsRequest; answer: Blob };
  /**
   * GetElement shows one element: base value, the points of every GOE mark and
   * the reduced forms.
   */
  GetElement: { request: GetElementRequest; answer: GetElementResponse };
  /** CompareSeasons shows what changed between two seasons, in points. */
  CompareSeasons: { request: CompareSeasonsRequest; answer: CompareSeasonsResponse };
  /**
   * GetScoreboard shows the scoreboard as it is now. Over REST it has an ETag, so
   * that polling costs little.
   */
  GetScoreboard: { request: GetScoreboardRequest; answer: GetScoreboardResponse };
  /**
   * ListPlaces lists all places behind the scoreboard, page by page: those of the
   * segment that it shows, and those over the segments of its category. A category of
   * more than 60 entries has more of them than the scoreboard holds.
   */
  ListPlaces: { request: ListPlacesRequest; answer: ListPlacesResponse };
  /** CallLevels returns the levels of a program's levelled elements, and says why. */
  CallLevels: { request: CallLevelsRequest; answer: CallLevelsResponse };
  /**
   * BatchCallLevels calls the levels of up to 1000 programs. A bad program is
   * answered with its error; the others are called.
   */
  BatchCallLevels: { request: BatchCallLevelsRequest; answer: BatchCallLevelsResponse };
  /**
   * ParseElements reads up to 1000 element codes: their jumps or parts, kinds,
   * signs and names in words. Capital and small letters may be typed as they
   * come; the answer says which code was read. A bad code is answered with its
   * error; the others are read.
   */
  ParseElements: { request: ParseElementsRequest; answer: ParseElementsResponse };
  /** ValueElements returns the base values of a program's elements. */
  ValueElements: { request: ValueElementsRequest; answer: ValueElementsResponse };
  /** ScoreSegment returns the total of one segment from the panel's marks. */
  ScoreSegment: { request: ScoreSegmentRequest; answer: ScoreSegmentResponse };
  /**
   * BatchScoreSegments scores up to 1000 segments in one call. A bad segment is
   * answered with its error; the others are scored.
   */
  BatchScoreSegments: { request: BatchScoreSegmentsRequest; answer: BatchScoreSegmentsResponse };
}

/** What a call takes beside its request. */
export interface CallOptions {
  /** Ends the call, which throws the signal's reason then. */
  signal?: AbortSignal;
}

/**
 * CopyService is how the server at a rink gives what everybody may see of an event to
 * a server that the world can reach. That one shows a copy: the scoreboard, live,
 * results and papers. A copy is never changed but by the rink, and everything that
 * would change the event is refused there with EVENT_COPIED.
 *
 * The rink calls, since nobody can call a laptop behind a rink's router: --publish-to
 * makes a server do so. What it sends are answers of public calls, as somebody
 * without a token gets them, so nothing else leaves the rink.
 */
export interface CopyService {
  /**
   * GetCopy says what a copy holds, so that the rink sends only what differs. A copy
   * that is not there holds nothing.
   */
  getCopy(request: GetCopyRequest, options?: CallOptions): Promise<GetCopyResponse>;
  /**
   * UpdateCopy makes a copy or brings it up to date. Without answers it says that the
   * rink is there and nothing has changed. The same update again changes nothing.
   */
  updateCopy(request: UpdateCopyRequest, options?: CallOptions): Promise<UpdateCopyResponse>;
  /**
   * RemoveCopy takes a copy off, as when reading the event has been restricted. One
   * that is not there is as good as removed.
   */
  removeCopy(request: RemoveCopyRequest, options?: CallOptions): Promise<RemoveCopyResponse>;
  /**
   * GetPublication says where this server sends an event and whether that works, for
   * the event's organiser.
   */
  getPublication(request: GetPublicationRequest, options?: CallOptions): Promise<GetPublicationResponse>;
}

/**
 * EventService runs a competition: entries, starting orders, calls, marks,
 * confirmation, results. Everything that changes an event needs a token and
 * becomes a fact of its log; nothing is ever overwritten. Results are unofficial
 * until the event's referee has signed.
 *
 * Calls that change something take a request_id, which makes them repeatable: a
 * repeated call changes nothing and answers with the present state and the first
 * call's sequence number. They also take an expected_sequence: when the event
 * has moved on, the call is refused (SEQUENCE_CONFLICT) instead of being applied
 * to something that the caller has not seen.
 */
export interface EventService {
  /** CreateEvent makes an event and pins the season's table. */
  createEvent(request: CreateEventRequest, options?: CallOptions): Promise<CreateEventResponse>;
  /**
   * GetEvent shows an event with its categories, segments, panels and starting
   * orders.
   */
  getEvent(request: GetEventRequest, options?: CallOptions): Promise<GetEventResponse>;
  /**
   * GetCaller says what the caller's token is for, so that a desk page knows who
   * sits at it.
   */
  getCaller(request: GetCallerRequest, options?: CallOptions): Promise<GetCallerResponse>;
  /** ListEvents lists the events by id. */
  listEvents(request?: ListEventsRequest, options?: CallOptions): Promise<ListEventsResponse>;
  /**
   * UpdateEvent changes what an event is called and when it is; before the first
   * segment starts also its season.
   */
  updateEvent(request: UpdateEventRequest, options?: CallOptions): Promise<UpdateEventResponse>;
  /** SetCategory adds a category, or changes one that has no starting order yet. */
  setCategory(request: SetCategoryRequest, options?: CallOptions): Promise<SetCategoryResponse>;
  /** RemoveCategory takes a category without entries out. */
  removeCategory(request: RemoveCategoryRequest, options?: CallOptions): Promise<RemoveCategoryResponse>;
  /** SetPanel says who judges: the whole event, or one segment. */
  setPanel(request: SetPanelRequest, options?: CallOptions): Promise<SetPanelResponse>;
  /**
   * SetAbsentJudges says which judges of a segment are absent, from the next
   * confirmation on.
   */
  setAbsentJudges(request: SetAbsentJudgesRequest, options?: CallOptions): Promise<SetAbsentJudgesResponse>;
  /**
   * AddEntry adds a competitor, until the result of the category's first segment
   * is signed. Who comes after its starting order was made has to be put into it:
   * see DrawStartingOrder.
   */
  addEntry(request: AddEntryRequest, options?: CallOptions): Promise<AddEntryResponse>;
  /** UpdateEntry changes how a competitor is printed. */
  updateEntry(request: UpdateEntryRequest, options?: CallOptions): Promise<UpdateEntryResponse>;
  /** ListEntries lists the competitors. */
  listEntries(request: ListEntriesRequest, options?: CallOptions): Promise<ListEntriesResponse>;
  /** ImportEntries adds competitors from CSV, all or none. */
  importEntries(request: ImportEntriesRequest, options?: CallOptions): Promise<ImportEntriesResponse>;
  /** ExportEntries returns the competitors as CSV that ImportEntries reads. */
  exportEntries(request: ExportEntriesRequest, options?: CallOptions): Promise<Blob>;
  /**
   * WithdrawEntry takes a competitor out. Scores that are confirmed stay on the
   * sheets. Who withdraws keeps the places in the segments skated and has none
   * over them; who is disqualified has no place at all. What the referee has
   * signed of these places, only the referee can take away or give back.
   */
  withdrawEntry(request: WithdrawEntryRequest, options?: CallOptions): Promise<WithdrawEntryResponse>;
  /** ReinstateEntry takes a withdrawal back. */
  reinstateEntry(request: ReinstateEntryRequest, options?: CallOptions): Promise<ReinstateEntryResponse>;
  /**
   * ErasePerson erases who a competitor is: name, club, and why the competitor
   * withdrew. Scores, places and the rest of the log stay as they are, under the
   * entry's id. It cannot be undone. Copies made earlier still have the name.
   */
  erasePerson(request: ErasePersonRequest, options?: CallOptions): Promise<ErasePersonResponse>;
  /**
   * DrawStartingOrder makes the starting order of a segment. Made again for a late
   * entry, a draw with the same seed keeps the others in their order; or the
   * referee places the entry in an order that is GIVEN. Once the segment has
   * started only that is possible, and it begins with those up to who was called
   * last.
   */
  drawStartingOrder(request: DrawStartingOrderRequest, options?: CallOptions): Promise<DrawStartingOrderResponse>;
  /**
   * BeginRehearsal makes a rehearsal of an event whose first segment has not started: an
   * event of its own with the same skaters, orders and desks, in which everybody's
   * token for the event holds too, so that the panel can play with invented marks on
   * the desks where it sits. It is in the server's memory only, no list has it, and
   * without a token nobody reads it. While there is one, it is answered again.
   */
  beginRehearsal(request: BeginRehearsalRequest, options?: CallOptions): Promise<BeginRehearsalResponse>;
  /**
   * EndRehearsal ends the rehearsal of an event, if there is one. Nothing of it is
   * left. A server that stops ends it too.
   */
  endRehearsal(request: EndRehearsalRequest, options?: CallOptions): Promise<EndRehearsalResponse>;
  /**
   * StartSegment opens a segment that has a starting order and a panel, once the
   * segment before it is skated and nobody of any segment is on the ice.
   */
  startSegment(request: StartSegmentRequest, options?: CallOptions): Promise<StartSegmentResponse>;
  /** CallSkater calls the next skater to the ice. */
  callSkater(request: CallSkaterRequest, options?: CallOptions): Promise<CallSkaterResponse>;
  /**
   * CallElement adds an element: by its code, or by what was skated, from which
   * the level is found.
   */
  callElement(request: CallElementRequest, options?: CallOptions): Promise<CallElementResponse>;
  /** ReviseElement changes an element. Marks that were given stay. */
  reviseElement(request: ReviseElementRequest, options?: CallOptions): Promise<ReviseElementResponse>;
  /** RemoveElement takes an element out; the last one when none is named. */
  removeElement(request: RemoveElementRequest, options?: CallOptions): Promise<RemoveElementResponse>;
  /** ReviewElement marks an element to be looked at again, or takes that mark off. */
  reviewElement(request: ReviewElementRequest, options?: CallOptions): Promise<ReviewElementResponse>;
  /** EndProgram says that the skater has finished; calls and marks stay open. */
  endProgram(request: EndProgramRequest, options?: CallOptions): Promise<EndProgramResponse>;
  /**
   * SetElementMarks gives one judge's marks for elements. A later mark replaces
   * an earlier one.
   */
  setElementMarks(request: SetElementMarksRequest, options?: CallOptions): Promise<SetElementMarksResponse>;
  /**
   * SetComponentMarks gives one judge's marks for components. A later mark
   * replaces an earlier one.
   */
  setComponentMarks(request: SetComponentMarksRequest, options?: CallOptions): Promise<SetComponentMarksResponse>;
  /** SetDeductions says what is taken off; it replaces what was said before. */
  setDeductions(request: SetDeductionsRequest, options?: CallOptions): Promise<SetDeductionsResponse>;
  /** ConfirmSkater confirms a performance, which gives its score. */
  confirmSkater(request: ConfirmSkaterRequest, options?: CallOptions): Promise<ConfirmSkaterResponse>;
  /**
   * CorrectResult changes a confirmed performance, with a reason that is kept and
   * shown.
   */
  correctResult(request: CorrectResultRequest, options?: CallOptions): Promise<CorrectResultResponse>;
  /**
   * PreviewCorrection says what CorrectResult would make of the same request: the
   * score, and whose places would change. It changes nothing.
   */
  previewCorrection(request: PreviewCorrectionRequest, options?: CallOptions): Promise<PreviewCorrectionResponse>;
  /**
   * PublishSegment is the referee's signature: the segment's result is official.
   * It is given once; what is corrected later is signed with the correction.
   */
  publishSegment(request: PublishSegmentRequest, options?: CallOptions): Promise<PublishSegmentResponse>;
  /** GetPerformance shows the score sheet of one entry in one segment. */
  getPerformance(request: GetPerformanceRequest, options?: CallOptions): Promise<GetPerformanceResponse>;
  /** GetSegmentStanding shows the places of a segment. */
  getSegmentStanding(request: GetSegmentStandingRequest, options?: CallOptions): Promise<GetSegmentStandingResponse>;
  /** GetFinalStanding shows the result over a category's segments. */
  getFinalStanding(request: GetFinalStandingRequest, options?: CallOptions): Promise<GetFinalStandingResponse>;
  /** GetDocument returns a starting order, result or score sheets as CSV or PDF. */
  getDocument(request: GetDocumentRequest, options?: CallOptions): Promise<Blob>;
  /** ListFacts shows the log of an event: who did what when. */
  listFacts(request: ListFactsRequest, options?: CallOptions): Promise<ListFactsResponse>;
  /** CreateToken makes a token. Its secret is shown this once. */
  createToken(request: CreateTokenRequest, options?: CallOptions): Promise<CreateTokenResponse>;
  /** ListTokens lists the tokens of an event, without their secrets. */
  listTokens(request: ListTokensRequest, options?: CallOptions): Promise<ListTokensResponse>;
  /** RevokeToken ends a token at once. */
  revokeToken(request: RevokeTokenRequest, options?: CallOptions): Promise<RevokeTokenResponse>;
  /**
   * CreateSeatCode makes a code of six characters, with which one person sits down at
   * a desk: it works once, within 15 minutes. An earlier code for the same desk ends.
   */
  createSeatCode(request: CreateSeatCodeRequest, options?: CallOptions): Promise<CreateSeatCodeResponse>;
  /**
   * TakeSeat exchanges a code for a token of its desk. It needs no token; wrong codes
   * are limited by address and by event.
   */
  takeSeat(request: TakeSeatRequest, options?: CallOptions): Promise<TakeSeatResponse>;
}

/**
 * PracticeService keeps a coach's or a club's book of attempts: what each skater
 * meant to do, what came, and why. From it GetAbilities counts how often an element
 * comes, which is what PlanProgram plans with.
 *
 * A book has a token of its own. Every call on a book needs it; the administrator
 * makes and deletes books, and reads none. Skaters stand in it under names that the
 * coach chooses. It is kept apart from events: no export, backup or paper of an event
 * has anything of it.
 */
export interface PracticeService {
  /** CreateBook makes an empty book, and its token. */
  createBook(request: CreateBookRequest, options?: CallOptions): Promise<CreateBookResponse>;
  /** GetBook shows a book. */
  getBook(request: GetBookRequest, options?: CallOptions): Promise<GetBookResponse>;
  /**
   * UpdateBook changes what a book is called, and the words that it offers for the
   * cause of a miss.
   */
  updateBook(request: UpdateBookRequest, options?: CallOptions): Promise<UpdateBookResponse>;
  /**
   * DeleteBook deletes a book with all that is in it. When it has answered, nothing of
   * it is left in the server's tables; copies made earlier still have it. It cannot be
   * undone.
   */
  deleteBook(request: DeleteBookRequest, options?: CallOptions): Promise<DeleteBookResponse>;
  /**
   * RenewBookToken makes another token for a book and ends the one before at once.
   * The new one is shown this once.
   */
  renewBookToken(request: RenewBookTokenRequest, options?: CallOptions): Promise<RenewBookTokenResponse>;
  /** AddSkater adds a skater. */
  addSkater(request: AddSkaterRequest, options?: CallOptions): Promise<AddSkaterResponse>;
  /** ListSkaters lists the skaters of a book. */
  listSkaters(request: ListSkatersRequest, options?: CallOptions): Promise<ListSkatersResponse>;
  /** UpdateSkater changes a skater's name, category and planned programs. */
  updateSkater(request: UpdateSkaterRequest, options?: CallOptions): Promise<UpdateSkaterResponse>;
  /**
   * DeleteSkater deletes a skater with all attempts and changes. When it has answered,
   * nothing of them is left in the server's tables; copies made earlier still have
   * them. It cannot be undone. One that is not there any more is no error.
   */
  deleteSkater(request: DeleteSkaterRequest, options?: CallOptions): Promise<DeleteSkaterResponse>;
  /**
   * AddAttempts adds attempts, all or none. A repeated call answers the same and adds
   * nothing.
   */
  addAttempts(request: AddAttemptsRequest, options?: CallOptions): Promise<AddAttemptsResponse>;
  /** ListAttempts lists attempts, the newest first. */
  listAttempts(request: ListAttemptsRequest, options?: CallOptions): Promise<ListAttemptsResponse>;
  /** UpdateAttempt changes an attempt, such as by its cause. */
  updateAttempt(request: UpdateAttemptRequest, options?: CallOptions): Promise<UpdateAttemptResponse>;
  /** DeleteAttempt takes an attempt out. One that is not there any more is no error. */
  deleteAttempt(request: DeleteAttemptRequest, options?: CallOptions): Promise<DeleteAttemptResponse>;
  /**
   * ImportAttempts adds attempts from CSV, all or none. Attempts that are there
   * already are passed over.
   */
  importAttempts(request: ImportAttemptsRequest, options?: CallOptions): Promise<ImportAttemptsResponse>;
  /**
   * ExportAttempts returns attempts as CSV that ImportAttempts reads, the oldest
   * first.
   */
  exportAttempts(request: ExportAttemptsRequest, options?: CallOptions): Promise<Blob>;
  /**
   * ListRunThroughs lists the run-throughs of a program, the newest first, each with the
   * score that its elements would have had.
   */
  listRunThroughs(request: ListRunThroughsRequest, options?: CallOptions): Promise<ListRunThroughsResponse>;
  /**
   * AddChange notes what was changed in practice, and when: GetAbilities compares the
   * attempts before it with those since.
   */
  addChange(request: AddChangeRequest, options?: CallOptions): Promise<AddChangeResponse>;
  /** ListChanges lists the changes, the newest first. */
  listChanges(request: ListChangesRequest, options?: CallOptions): Promise<ListChangesResponse>;
  /** DeleteChange takes a change out. One that is not there any more is no error. */
  deleteChange(request: DeleteChangeRequest, options?: CallOptions): Promise<DeleteChangeResponse>;
  /**
   * GetAbilities counts the attempts: what PlanProgram takes as abilities, and of each
   * element how it has come week by week, why it was missed, and what it was before
   * and after each noted change.
   */
  getAbilities(request: GetAbilitiesRequest, options?: CallOptions): Promise<GetAbilitiesResponse>;
}

/**
 * ProgramService checks a program on paper or after it was skated: what will
 * count, what it is worth, what is missing; and it plans the best one. Its answers are unofficial: the
 * technical panel calls what was skated, and only it knows what the codes do
 * not carry, such as whether a combination was meant.
 */
export interface ProgramService {
  /**
   * CheckProgram credits each element as the season's rules would, says what
   * is struck, reduced or missing and why, and what one level or one call would
   * change.
   */
  checkProgram(request: CheckProgramRequest, options?: CallOptions): Promise<CheckProgramResponse>;
  /**
   * BatchCheckPrograms checks up to 1000 programs. A bad program is answered with
   * its error; the others are checked.
   */
  batchCheckPrograms(request: BatchCheckProgramsRequest, options?: CallOptions): Promise<BatchCheckProgramsResponse>;
  /**
   * PlanProgram finds the legal program with the highest expected score from what
   * a skater can do and how it comes, proves that none is better, and says how the
   * score spreads and what practice of each ability is worth.
   */
  planProgram(request: PlanProgramRequest, options?: CallOptions): Promise<PlanProgramResponse>;
}

/**
 * ResultService makes places from segment scores, with ties broken as the
 * season's table says. Results are unofficial until the event's referee has
 * signed.
 */
export interface ResultService {
  /** RankSegment returns the places of one segment. */
  rankSegment(request: RankSegmentRequest, options?: CallOptions): Promise<RankSegmentResponse>;
  /**
   * RankEvent returns the places of every segment skated and the result over all
   * of them. Competitors who skated more segments stand before those who
   * skated fewer.
   */
  rankEvent(request: RankEventRequest, options?: CallOptions): Promise<RankEventResponse>;
}

/**
 * RulesService shows the season tables: every value and parameter with its
 * source and confidence. Read only; the answers change only with a table's
 * revision, which over REST is the ETag.
 */
export interface RulesService {
  /** ListSeasons lists the seasons that have a table, oldest first. */
  listSeasons(request?: ListSeasonsRequest, options?: CallOptions): Promise<ListSeasonsResponse>;
  /**
   * GetSeason shows one season's table: scales, categories and segments,
   * components and factors, deductions, signs, and every rule with its source.
   */
  getSeason(request: GetSeasonRequest, options?: CallOptions): Promise<GetSeasonResponse>;
  /**
   * ListElements lists the elements that have a base value in a season. With
   * "Accept: text/csv" the answer is that of ExportElements, without pages.
   */
  listElements(request: ListElementsRequest, options?: CallOptions): Promise<ListElementsResponse>;
  /**
   * ExportElements returns the elements of ListElements, all of them, as CSV: one row
   * for each with the points of every mark. GET …/elements with "Accept: text/csv"
   * is the same.
   */
  exportElements(request: ExportElementsRequest, options?: CallOptions): Promise<Blob>;
  /**
   * GetElement shows one element: base value, the points of every GOE mark and
   * the reduced forms.
   */
  getElement(request: GetElementRequest, options?: CallOptions): Promise<GetElementResponse>;
  /** CompareSeasons shows what changed between two seasons, in points. */
  compareSeasons(request: CompareSeasonsRequest, options?: CallOptions): Promise<CompareSeasonsResponse>;
}

/**
 * ScoreboardService shows what watchers of an event see. It is made from the
 * event's log alone, so every server of an event shows the same.
 */
export interface ScoreboardService {
  /**
   * GetScoreboard shows the scoreboard as it is now. Over REST it has an ETag, so
   * that polling costs little.
   */
  getScoreboard(request: GetScoreboardRequest, options?: CallOptions): Promise<GetScoreboardResponse>;
  /**
   * ListPlaces lists all places behind the scoreboard, page by page: those of the
   * segment that it shows, and those over the segments of its category. A category of
   * more than 60 entries has more of them than the scoreboard holds.
   */
  listPlaces(request: ListPlacesRequest, options?: CallOptions): Promise<ListPlacesResponse>;
}

/**
 * ScoringService calculates: levels, base values and totals under any season's
 * rules. It keeps nothing, so every call may be repeated. Results are unofficial
 * until the event's referee has signed.
 */
export interface ScoringService {
  /** CallLevels returns the levels of a program's levelled elements, and says why. */
  callLevels(request: CallLevelsRequest, options?: CallOptions): Promise<CallLevelsResponse>;
  /**
   * BatchCallLevels calls the levels of up to 1000 programs. A bad program is
   * answered with its error; the others are called.
   */
  batchCallLevels(request: BatchCallLevelsRequest, options?: CallOptions): Promise<BatchCallLevelsResponse>;
  /**
   * ParseElements reads up to 1000 element codes: their jumps or parts, kinds,
   * signs and names in words. Capital and small letters may be typed as they
   * come; the answer says which code was read. A bad code is answered with its
   * error; the others are read.
   */
  parseElements(request: ParseElementsRequest, options?: CallOptions): Promise<ParseElementsResponse>;
  /** ValueElements returns the base values of a program's elements. */
  valueElements(request: ValueElementsRequest, options?: CallOptions): Promise<ValueElementsResponse>;
  /** ScoreSegment returns the total of one segment from the panel's marks. */
  scoreSegment(request: ScoreSegmentRequest, options?: CallOptions): Promise<ScoreSegmentResponse>;
  /**
   * BatchScoreSegments scores up to 1000 segments in one call. A bad segment is
   * answered with its error; the others are scored.
   */
  batchScoreSegments(request: BatchScoreSegmentsRequest, options?: CallOptions): Promise<BatchScoreSegmentsResponse>;
}

/** Methods are the calls of all services. */
export interface Methods extends CopyService, EventService, PracticeService, ProgramService, ResultService, RulesService, ScoreboardService, ScoringService {}

/** Status is an error, as every refused call answers it. */
export interface Status {
  code: number;
  message: string;
  details?: Record<string, unknown>[];
}

/** CopiedAnswer is the answer of a public call, as everybody is given it. */
export interface CopiedAnswer {
  /** The call: "GetSegmentStanding". */
  call: string;
  /** Its request, encoded as gRPC does. */
  request: string;
  /**
   * Its answer, encoded as gRPC does, without the event's sequence number, which is
   * that of the update; the scoreboard keeps its own. GetCopy leaves it out.
   */
  answer: string;
  /** Fingerprint of the answer. Only GetCopy says it. */
  tag: string;
}

/** CopiedAnswer is the answer of a public call, as everybody is given it. */
export interface CopiedAnswerInput {
  /** The call: "GetSegmentStanding". */
  call: string;
  /** Its request, encoded as gRPC does. */
  request: string;
  /**
   * Its answer, encoded as gRPC does, without the event's sequence number, which is
   * that of the update; the scoreboard keeps its own. GetCopy leaves it out.
   */
  answer?: string;
  /** Fingerprint of the answer. Only GetCopy says it. */
  tag?: string;
}

/** GetCopyRequest names the event. */
export interface GetCopyRequest {
  /** Event id. */
  event: string;
}

/** GetCopyResponse is what a copy holds. */
export interface GetCopyResponse {
  /** Sequence number of the event up to which the copy is. */
  sequence: string;
  /** Which answers it holds, by call and request, with their fingerprints. */
  answers: CopiedAnswer[];
  /** Fingerprint of all that the copy holds; empty when there is none. */
  tag: string;
}

/** UpdateCopyRequest is what has changed at the rink. */
export interface UpdateCopyRequest {
  /** Event id. */
  event: string;
  /**
   * Sequence number of the event up to which the copy is after the update. 0 leaves
   * it as it is, where only a part of the changes is sent.
   */
  sequence?: string;
  /** Answers that are new or differ. The first update has GetScoreboard's among them. */
  answers?: CopiedAnswerInput[];
  /** Answers that are there no more, by call and request. */
  removed?: CopiedAnswerInput[];
}

/** UpdateCopyResponse is what the copy holds now. */
export interface UpdateCopyResponse {
  /**
   * Fingerprint of all that the copy holds, so that the rink sees whether it is what
   * the rink has sent; empty when there is no copy.
   */
  tag: string;
}

/** RemoveCopyRequest names the event. */
export interface RemoveCopyRequest {
  /** Event id. */
  event: string;
}

/** RemoveCopyResponse is empty: the copy is gone. */
export interface RemoveCopyResponse {
}

/** GetPublicationRequest names the event. */
export interface GetPublicationRequest {
  /** Event id. */
  event: string;
}

/** GetPublicationResponse says where an event is sent. */
export interface GetPublicationResponse {
  /** Address of the copy for watchers; empty when this server does not send the event. */
  address: string;
  /** When the other server took news last; unset before it has. */
  sentTime: string | null;
  /** Why it does not work now, and what to do; empty while it works. */
  fault: string;
  /** When this answer was made, by the same clock as sent_time. */
  now: string | null;
}

/** ErrorReason says to a program what went wrong. */
export type ErrorReason =
  /** Never sent. */
  | "ERROR_REASON_UNSPECIFIED"
  /**
   * No table for the season. NOT_FOUND.
   *
   *     {"reason": "SEASON_UNKNOWN", "domain": "rinktally",
   *      "metadata": {"season": "1998-99", "allowed": "2005-06, …, 2025-26, current"}}
   */
  | "SEASON_UNKNOWN"
  /**
   * The table has another revision than the request pins. FAILED_PRECONDITION.
   *
   *     {"reason": "REVISION_MISMATCH", "domain": "rinktally",
   *      "metadata": {"season": "2025-26", "found": "sha256:11aa…", "allowed": "sha256:22bb…"}}
   */
  | "REVISION_MISMATCH"
  /**
   * The season has no such category. INVALID_ARGUMENT.
   *
   *     {"reason": "CATEGORY_UNKNOWN", "domain": "rinktally",
   *      "metadata": {"field": "category", "found": "senior-woman", "allowed": "senior-men, senior-women"}}
   */
  | "CATEGORY_UNKNOWN"
  /**
   * The category has no such segment. INVALID_ARGUMENT.
   *
   *     {"reason": "SEGMENT_UNKNOWN", "domain": "rinktally",
   *      "metadata": {"field": "segment", "found": "short", "allowed": "short-program, free-skating"}}
   */
  | "SEGMENT_UNKNOWN"
  /**
   * The text is not an element code. INVALID_ARGUMENT.
   *
   *     {"reason": "CODE_INVALID", "domain": "rinktally",
   *      "metadata": {"field": "elements[3].code", "found": "6Q", "season": "2025-26",
   *                   "allowed": "1 to 5 turns and then T, S, Lo, F, Lz, A or Eu, such as 3Lz"}}
   */
  | "CODE_INVALID"
  /**
   * The season has no base value for the code. INVALID_ARGUMENT.
   *
   *     {"reason": "ELEMENT_UNKNOWN", "domain": "rinktally",
   *      "metadata": {"field": "elements[3].code", "found": "5T", "season": "2016-17", "allowed": "1T, 2T, 3T, 4T, T"}}
   */
  | "ELEMENT_UNKNOWN"
  /**
   * The season does not know the sign. INVALID_ARGUMENT.
   *
   *     {"reason": "SIGN_UNKNOWN", "domain": "rinktally",
   *      "metadata": {"field": "elements[0].code", "found": "q", "allowed": "!, <, <<, e"}}
   */
  | "SIGN_UNKNOWN"
  /**
   * The season's table lacks the points of a GOE mark; they are never guessed.
   * FAILED_PRECONDITION.
   *
   *     {"reason": "GOE_VALUE_UNKNOWN", "domain": "rinktally",
   *      "metadata": {"field": "elements[2].marks[4]", "found": "3", "season": "2014-15"}}
   */
  | "GOE_VALUE_UNKNOWN"
  /**
   * A mark lies outside the season's scale. INVALID_ARGUMENT.
   *
   *     {"reason": "MARK_OUT_OF_RANGE", "domain": "rinktally",
   *      "metadata": {"field": "elements[2].marks[4]", "found": "6", "allowed": "-5 to +5"}}
   */
  | "MARK_OUT_OF_RANGE"
  /**
   * A component mark is not a multiple of the season's step. INVALID_ARGUMENT.
   *
   *     {"reason": "MARK_OFF_GRID", "domain": "rinktally",
   *      "metadata": {"field": "components[0].marks[4]", "found": "8.3", "allowed": "steps of 0.25"}}
   */
  | "MARK_OFF_GRID"
  /**
   * A list of marks is not as long as the panel. INVALID_ARGUMENT.
   *
   *     {"reason": "PANEL_SIZE_MISMATCH", "domain": "rinktally",
   *      "metadata": {"field": "elements[2].marks", "found": "8", "allowed": "9"}}
   */
  | "PANEL_SIZE_MISMATCH"
  /**
   * A judge's number is not on the panel, or is named twice. INVALID_ARGUMENT.
   *
   *     {"reason": "JUDGE_UNKNOWN", "domain": "rinktally",
   *      "metadata": {"field": "absentJudges[0]", "found": "12", "allowed": "1 to 9"}}
   */
  | "JUDGE_UNKNOWN"
  /**
   * A component of the segment has no marks. INVALID_ARGUMENT.
   *
   *     {"reason": "COMPONENT_MISSING", "domain": "rinktally",
   *      "metadata": {"field": "components", "allowed": "COMPOSITION, PRESENTATION, SKATING_SKILLS"}}
   */
  | "COMPONENT_MISSING"
  /**
   * The segment does not have the component. INVALID_ARGUMENT.
   *
   *     {"reason": "COMPONENT_UNKNOWN", "domain": "rinktally",
   *      "metadata": {"field": "components[3].component", "found": "TIMING",
   *                   "allowed": "COMPOSITION, PRESENTATION, SKATING_SKILLS"}}
   */
  | "COMPONENT_UNKNOWN"
  /**
   * A component comes twice. INVALID_ARGUMENT.
   *
   *     {"reason": "COMPONENT_DUPLICATE", "domain": "rinktally",
   *      "metadata": {"field": "components[2].component", "found": "COMPOSITION"}}
   */
  | "COMPONENT_DUPLICATE"
  /**
   * The category's rules do not have the deduction. INVALID_ARGUMENT.
   *
   *     {"reason": "DEDUCTION_UNKNOWN", "domain": "rinktally",
   *      "metadata": {"field": "deductions[0].kind", "found": "EXTENDED_LIFT", "allowed": "FALL, OTHER"}}
   */
  | "DEDUCTION_UNKNOWN"
  /**
   * The count or value of a deduction is wrong, or is missing with OTHER.
   * INVALID_ARGUMENT.
   *
   *     {"reason": "DEDUCTION_VALUE", "domain": "rinktally",
   *      "metadata": {"field": "deductions[0].value", "found": "1.005",
   *                   "allowed": "digits with at most two decimals behind a point, such as 12.43 or -1.00"}}
   */
  | "DEDUCTION_VALUE"
  /**
   * A spin position is missing or contradicts what stands beside it.
   * INVALID_ARGUMENT.
   *
   *     {"reason": "POSITION_INVALID", "domain": "rinktally",
   *      "metadata": {"field": "elements[0].spin.feet[0].positions[1].lean", "found": "",
   *                   "allowed": "CAMEL, SIT, UPRIGHT, LAYBACK, NON_BASIC"}}
   */
  | "POSITION_INVALID"
  /**
   * A difficult variation does not belong to the position. INVALID_ARGUMENT.
   *
   *     {"reason": "VARIATION_INVALID", "domain": "rinktally",
   *      "metadata": {"field": "elements[0].spin.feet[0].positions[1].variation",
   *                   "found": "SIT_BEHIND",
   *                   "allowed": "CAMEL_FORWARD, CAMEL_SIDEWAYS, CAMEL_UPWARD"}}
   */
  | "VARIATION_INVALID"
  /**
   * Revolutions are negative, too many, or not in steps of a half.
   * INVALID_ARGUMENT.
   *
   *     {"reason": "REVOLUTIONS_INVALID", "domain": "rinktally",
   *      "metadata": {"field": "elements[0].spin.feet[0].positions[1].revolutions", "found": "2.3",
   *                   "allowed": "0 to 200 in steps of 0.5"}}
   */
  | "REVOLUTIONS_INVALID"
  /**
   * A field that the call needs is empty. INVALID_ARGUMENT.
   *
   *     {"reason": "FIELD_REQUIRED", "domain": "rinktally", "metadata": {"field": "category"}}
   */
  | "FIELD_REQUIRED"
  /**
   * A field's value has the wrong type or is not allowed, and no other reason
   * says it better. INVALID_ARGUMENT.
   *
   *     {"reason": "FIELD_INVALID", "domain": "rinktally",
   *      "metadata": {"field": "pageSize", "found": "-1", "allowed": "1 to 1000, or 0 for 100"}}
   */
  | "FIELD_INVALID"
  /**
   * The JSON body or the query has a field that the call does not know.
   * INVALID_ARGUMENT.
   *
   *     {"reason": "FIELD_UNKNOWN", "domain": "rinktally", "metadata": {"field": "elements[0].mark", "allowed": "code, secondHalf, marks, missingMarks"}}
   */
  | "FIELD_UNKNOWN"
  /**
   * The body is not JSON; the message says at which line and column. INVALID_ARGUMENT.
   *
   *     {"reason": "JSON_INVALID", "domain": "rinktally", "metadata": {"field": "body"}}
   */
  | "JSON_INVALID"
  /**
   * The body is larger than the server takes. RESOURCE_EXHAUSTED; over REST 413.
   *
   *     {"reason": "BODY_TOO_LARGE", "domain": "rinktally", "metadata": {"max_bytes": "4194304"}}
   */
  | "BODY_TOO_LARGE"
  /**
   * The body is nested deeper than the server takes. INVALID_ARGUMENT.
   *
   *     {"reason": "BODY_TOO_DEEP", "domain": "rinktally",
   *      "metadata": {"field": "elements[0].spin", "allowed": "32 lists and objects"}}
   */
  | "BODY_TOO_DEEP"
  /**
   * A list is longer than the call takes. INVALID_ARGUMENT.
   *
   *     {"reason": "TOO_MANY_ITEMS", "domain": "rinktally",
   *      "metadata": {"field": "segments", "allowed": "at most 1000"}}
   */
  | "TOO_MANY_ITEMS"
  /**
   * The page token was not given by this list, the request changed, or what is
   * listed has changed since: begin again without one.
   * INVALID_ARGUMENT.
   *
   *     {"reason": "PAGE_TOKEN_INVALID", "domain": "rinktally", "metadata": {"field": "pageToken"}}
   */
  | "PAGE_TOKEN_INVALID"
  /**
   * GetElement: the season has no such element. NOT_FOUND.
   *
   *     {"reason": "ELEMENT_NOT_FOUND", "domain": "rinktally",
   *      "metadata": {"found": "5T", "season": "2016-17"}}
   */
  | "ELEMENT_NOT_FOUND"
  /**
   * The element's value depends on a condition that the request must name.
   * INVALID_ARGUMENT.
   *
   *     {"reason": "SCOPE_REQUIRED", "domain": "rinktally",
   *      "metadata": {"field": "elements[0].code", "found": "1S1", "allowed": "Golden Waltz, Tango Romantica"}}
   */
  | "SCOPE_REQUIRED"
  /**
   * The path exists with another HTTP method. UNIMPLEMENTED; over REST 405.
   *
   *     {"reason": "METHOD_NOT_ALLOWED", "domain": "rinktally",
   *      "metadata": {"found": "GET", "allowed": "POST"}}
   */
  | "METHOD_NOT_ALLOWED"
  /**
   * Nothing is at the path. NOT_FOUND.
   *
   *     {"reason": "NOT_FOUND", "domain": "rinktally", "metadata": {"path": "/v1/season"}}
   */
  | "NOT_FOUND"
  /**
   * The call took longer than its deadline. DEADLINE_EXCEEDED. Calculations may
   * be repeated.
   *
   *     {"reason": "DEADLINE", "domain": "rinktally", "metadata": {}}
   */
  | "DEADLINE"
  /**
   * A fault of the server. INTERNAL. The request id finds it in the log.
   *
   *     {"reason": "INTERNAL", "domain": "rinktally", "metadata": {"request_id": "…"}}
   */
  | "INTERNAL"
  /**
   * Too many calls. RESOURCE_EXHAUSTED, with RetryInfo; over REST 429.
   *
   *     {"reason": "RATE_LIMITED", "domain": "rinktally", "metadata": {"retry_after_seconds": "1"}}
   */
  | "RATE_LIMITED"
  /**
   * The call needs a token and has none that is valid. UNAUTHENTICATED.
   *
   *     {"reason": "UNAUTHENTICATED", "domain": "rinktally", "metadata": {}}
   */
  | "UNAUTHENTICATED"
  /**
   * The caller may not do this. PERMISSION_DENIED.
   *
   *     {"reason": "PERMISSION_DENIED", "domain": "rinktally", "metadata": {}}
   */
  | "PERMISSION_DENIED"
  /**
   * The season's table has no rules for what was asked. FAILED_PRECONDITION.
   *
   *     {"reason": "RULES_NOT_AVAILABLE", "domain": "rinktally",
   *      "metadata": {"field": "season", "found": "2025-26", "season": "2025-26"}}
   */
  | "RULES_NOT_AVAILABLE"
  /**
   * The body is of a type that the server does not read. INVALID_ARGUMENT; over
   * REST 415.
   *
   *     {"reason": "CONTENT_TYPE_UNSUPPORTED", "domain": "rinktally",
   *      "metadata": {"found": "text/xml", "allowed": "application/json"}}
   */
  | "CONTENT_TYPE_UNSUPPORTED"
  /**
   * The caller gave the call up. CANCELLED; over REST 499.
   *
   *     {"reason": "CANCELLED", "domain": "rinktally"}
   */
  | "CANCELLED"
  /**
   * There is no event with the id. NOT_FOUND.
   *
   *     {"reason": "EVENT_UNKNOWN", "domain": "rinktally", "metadata": {"event": "spring-cup-2025"}}
   */
  | "EVENT_UNKNOWN"
  /**
   * There is an event with the id already. ALREADY_EXISTS.
   *
   *     {"reason": "EVENT_EXISTS", "domain": "rinktally", "metadata": {"event": "spring-cup-2026"}}
   */
  | "EVENT_EXISTS"
  /**
   * The event has no such category, segment, entry, performance, element or
   * token. NOT_FOUND.
   *
   *     {"reason": "NOT_IN_EVENT", "domain": "rinktally",
   *      "metadata": {"event": "spring-cup-2026", "field": "entry", "found": "99", "allowed": "1, 2, 3"}}
   */
  | "NOT_IN_EVENT"
  /**
   * What is asked for does not fit how far the event is, such as marks for a
   * skater who has not been called. FAILED_PRECONDITION.
   *
   *     {"reason": "NOT_NOW", "domain": "rinktally",
   *      "metadata": {"event": "spring-cup-2026", "state": "CONFIRMED", "allowed": "CorrectResult"}}
   */
  | "NOT_NOW"
  /**
   * A performance cannot be confirmed, or a segment not be published, since
   * something is missing. FAILED_PRECONDITION; the message lists it all.
   *
   *     {"reason": "INCOMPLETE", "domain": "rinktally",
   *      "metadata": {"event": "spring-cup-2026", "missing": "element 3: marks of judges 2, 5"}}
   */
  | "INCOMPLETE"
  /**
   * The event has moved on since the caller looked. ABORTED: read it again and
   * decide again.
   *
   *     {"reason": "SEQUENCE_CONFLICT", "domain": "rinktally",
   *      "metadata": {"event": "spring-cup-2026", "expected": "117", "found": "119"}}
   */
  | "SEQUENCE_CONFLICT"
  /**
   * The request id was used for another request. INVALID_ARGUMENT.
   *
   *     {"reason": "REQUEST_ID_REUSED", "domain": "rinktally", "metadata": {"field": "requestId"}}
   */
  | "REQUEST_ID_REUSED"
  /**
   * A line of a CSV file cannot be taken; nothing was. INVALID_ARGUMENT, with
   * one field violation for each fault. The field says the line.
   *
   *     {"reason": "CSV_INVALID", "domain": "rinktally", "metadata": {"field": "csv.line[4].name"}}
   */
  | "CSV_INVALID"
  /**
   * The server's storage takes no more: its disk is full, over a quota, read-only or
   * failing. Nothing was written. RESOURCE_EXHAUSTED. The same call works once there
   * is room on a disk that can be written.
   *
   *     {"reason": "STORE_FULL", "domain": "rinktally"}
   */
  | "STORE_FULL"
  /**
   * The server cannot reach its storage now. UNAVAILABLE: repeat with the same
   * request id.
   *
   *     {"reason": "STORE_UNAVAILABLE", "domain": "rinktally"}
   */
  | "STORE_UNAVAILABLE"
  /**
   * A watcher was slower than the scoreboard and was cut off. UNAVAILABLE:
   * watch again after the last sequence number seen.
   *
   *     {"reason": "WATCHER_TOO_SLOW", "domain": "rinktally", "metadata": {"after_sequence": "117"}}
   */
  | "WATCHER_TOO_SLOW"
  /**
   * The server is stopping. UNAVAILABLE: call again, watch again after the last
   * sequence number seen.
   *
   *     {"reason": "SERVER_STOPPING", "domain": "rinktally"}
   */
  | "SERVER_STOPPING"
  /**
   * The token of a desk was revoked, or one of an event with restricted reading,
   * or its reading has just been restricted, so that its watchers have to show
   * again that they may watch. UNAVAILABLE: watch again after the last sequence
   * number seen.
   *
   *     {"reason": "ACCESS_CHANGED", "domain": "rinktally", "metadata": {"event": "spring-cup-2026"}}
   */
  | "ACCESS_CHANGED"
  /**
   * A record of the event's log is damaged or missing, so nothing more is written
   * to it. DATA_LOSS. Bring the event back from a copy: "rinktally events restore".
   *
   *     {"reason": "EVENT_DAMAGED", "domain": "rinktally", "metadata": {"event": "spring-cup-2026", "record": "52"}}
   */
  | "EVENT_DAMAGED"
  /**
   * No legal program can be made of the abilities, or not with all that is to be
   * kept; the field violations say why. FAILED_PRECONDITION.
   *
   *     {"reason": "NO_LEGAL_PROGRAM", "domain": "rinktally", "metadata": {"field": "keep[0].code", "season": "2025-26"}}
   */
  | "NO_LEGAL_PROGRAM"
  /**
   * There is no book of attempts with the id. NOT_FOUND.
   *
   *     {"reason": "BOOK_UNKNOWN", "domain": "rinktally", "metadata": {"book": "k3v5q2c7m4x6b3ta"}}
   */
  | "BOOK_UNKNOWN"
  /**
   * The book has no such skater, or the skater no such attempt. NOT_FOUND.
   *
   *     {"reason": "NOT_IN_BOOK", "domain": "rinktally", "metadata": {"field": "skater", "found": "99"}}
   */
  | "NOT_IN_BOOK"
  /**
   * The server has a copy of the event, which is run on another server at the rink:
   * nothing is changed here, and only what the rink has sent is answered.
   * FAILED_PRECONDITION.
   *
   *     {"reason": "EVENT_COPIED", "domain": "rinktally", "metadata": {"event": "spring-cup-2026", "rink": "Lakeside rink"}}
   */
  | "EVENT_COPIED";

/** Event is a competition. */
export interface Event {
  /** Id: "spring-cup-2026". It stands in every path and never changes. */
  event: string;
  /** Name for people. */
  name: string;
  /** Where it is held. */
  place: string;
  /** First day: "2026-03-14". */
  startDate: string;
  /** Last day: "2026-03-15". */
  endDate: string;
  /** The season table that the event is scored by, pinned when it was created. */
  rules: RulesInfo | null;
  /** True when reading needs a token too. */
  restricted: boolean;
  /** Categories in the order they were added. */
  categories: EventCategory[];
  /** Panel of the segments that have none of their own. */
  panel: EventPanel | null;
  /**
   * Sequence number of the last fact. It is the event's version: the value for
   * expected_sequence and after_sequence.
   */
  sequence: string;
  /**
   * Set when the server has another revision of the pinned table, or when the
   * event's log is damaged (EVENT_DAMAGED).
   */
  warnings: Warning[];
  /**
   * Id of the event that this one rehearses: nothing of it counts, and it is gone at
   * the end. Empty for a real event.
   */
  rehearsalOf: string;
}

/** EventSummary is one event of the list. */
export interface EventSummary {
  /** Id. */
  event: string;
  /** Name for people. */
  name: string;
  /** Where it is held. */
  place: string;
  /** First day: "2026-03-14". */
  startDate: string;
  /** Last day. */
  endDate: string;
  /** Season key of its table. */
  season: string;
  /**
   * True when the event cannot be shown: a record of its log is damaged, or was
   * written by a newer program. The administrator alone sees such an event,
   * by its id; why is in the server's log when it is asked for.
   */
  unreadable: boolean;
  /**
   * True when the event's log is damaged. What is shown is from before the damage,
   * and nothing more can be written.
   */
  damaged: boolean;
}

/** EventCategory is a group of skaters who compete with each other. */
export interface EventCategory {
  /** Id inside the event: "junior-women". */
  category: string;
  /** Title for people. */
  title: string;
  /** Category key of the season whose rules hold. */
  rulesCategory: string;
  /** Segments in the order they are skated. */
  segments: EventSegment[];
  /** How many entries there are, withdrawn ones too. */
  entryCount: number;
}

/** EventSegment is a segment of a category. */
export interface EventSegment {
  /** Segment key of the season: "short-program". */
  segment: string;
  /** Title for people. */
  title: string;
  /** How far it is. */
  state: SegmentState;
  /** The panel that holds for it. */
  panel: EventPanel | null;
  /** True when the panel is its own and not the event's. */
  ownPanel: boolean;
  /** Numbers of the judges that are absent. */
  absentJudges: number[];
  /** Starting order; empty before it is drawn. */
  order: StartingPlace[];
  /** How the order was made; unset before. */
  draw: OrderDraw | null;
  /** Entry that is on the ice or waits for marks; empty when none is. */
  current: string;
  /**
   * What decides which values hold, such as the compulsory dance; empty where
   * nothing has to.
   */
  scope: string;
}

/** SegmentState is how far a segment is. */
export type SegmentState =
  /** Not a state. */
  | "SEGMENT_STATE_UNSPECIFIED"
  /** There is no starting order yet. */
  | "PLANNED"
  /** The starting order is made. */
  | "DRAWN"
  /** Started, and somebody has still to skate or to be confirmed. */
  | "RUNNING"
  /** Everybody is confirmed or withdrawn; results are provisional. */
  | "SKATED"
  /** The referee has signed. */
  | "OFFICIAL";

/** StartingPlace is one place of a starting order. */
export interface StartingPlace {
  /** Starting number, from 1. */
  number: number;
  /** Warm-up group, from 1. */
  group: number;
  /** Entry id. */
  entry: string;
  /** Name of the entry. */
  name: string;
  /** Club of the entry. */
  club: string;
  /** How far the performance is. */
  state: PerformanceState;
}

/**
 * OrderDraw says how a starting order was made, so that anybody can make it
 * again.
 */
export interface OrderDraw {
  /** The method. */
  method: OrderMethod;
  /** With RANDOM: the number that the order was made from. */
  seed: string;
  /** Size of the warm-up groups; 0 means one group. */
  groupSize: number;
}

/** OrderMethod is a way to make a starting order. */
export type OrderMethod =
  /** Left out: RANDOM. */
  | "ORDER_METHOD_UNSPECIFIED"
  /** By chance: entries are sorted by the SHA-256 of "seed/entry", lowest first. */
  | "RANDOM"
  /**
   * The last of the standing after the segments before skates first; who has no
   * place there does not skate.
   */
  | "REVERSE_STANDING"
  /** As the request lists it. */
  | "GIVEN";

/** EventPanel is who judges. */
export interface EventPanel {
  /** How many judges there are; they are numbered from 1. */
  judges: number;
  /** Who they are, as far as that is to be shown. */
  members: PanelMember[];
  /**
   * Numbers of the judges whose marks count, in the seasons that drew them. Empty
   * means all.
   */
  countedJudges: number[];
}

/** EventPanel is who judges. */
export interface EventPanelInput {
  /** How many judges there are; they are numbered from 1. */
  judges?: number;
  /** Who they are, as far as that is to be shown. */
  members?: PanelMemberInput[];
  /**
   * Numbers of the judges whose marks count, in the seasons that drew them. Empty
   * means all.
   */
  countedJudges?: number[];
}

/** PanelMember is a person of the panel. */
export interface PanelMember {
  /** The person's task. */
  task: PanelTask;
  /** With JUDGE: the number, from 1. */
  judge: number;
  /** Name as it is to be printed. */
  name: string;
}

/** PanelMember is a person of the panel. */
export interface PanelMemberInput {
  /** The person's task. */
  task?: PanelTask;
  /** With JUDGE: the number, from 1. */
  judge?: number;
  /** Name as it is to be printed. */
  name?: string;
}

/** PanelTask is a task on the panel. */
export type PanelTask =
  /** Not a task. */
  | "PANEL_TASK_UNSPECIFIED"
  /** Referee. */
  | "REFEREE"
  /** Judge. */
  | "JUDGE"
  /** Technical controller. */
  | "TECHNICAL_CONTROLLER"
  /** Technical specialist. */
  | "TECHNICAL_SPECIALIST"
  /** Assistant technical specialist. */
  | "ASSISTANT_TECHNICAL_SPECIALIST"
  /** Data operator. */
  | "DATA_OPERATOR"
  /** Replay operator. */
  | "REPLAY_OPERATOR";

/** Entry is a competitor of a category: a skater, a couple or a team. */
export interface Entry {
  /** Id inside the event: "12". */
  entry: string;
  /** Category of the event. */
  category: string;
  /** Name as it is printed and announced; "entry 12" where it was erased. */
  name: string;
  /** Club, town or country as it is printed. */
  club: string;
  /** Whether the entry competes. */
  status: CompetitorStatus;
  /** Why it does not; shown to the organiser and the referee only. */
  reason: string;
  /** Title of the program as it is announced: "The Lighthouse Keeper". */
  programTitle: string;
}

/** PerformanceState is how far a performance is. */
export type PerformanceState =
  /** Not a state. */
  | "PERFORMANCE_STATE_UNSPECIFIED"
  /** The skater has not been called. */
  | "WAITING"
  /** The skater is on the ice. */
  | "ON_ICE"
  /** The program is over; calls are reviewed and marks come in. */
  | "REVIEW"
  /** The referee has confirmed the score. */
  | "CONFIRMED"
  /** The entry withdrew or was disqualified. */
  | "OUT";

/** Role is what the holder of a token may do. */
export type Role =
  /** Not a role. */
  | "ROLE_UNSPECIFIED"
  /** Sets up the event, enters marks from paper, gives out tokens. */
  | "ORGANISER"
  /** Calls the elements. */
  | "TECHNICAL_PANEL"
  /** Gives the marks of one judge's number. */
  | "JUDGE"
  /** Runs the segment, confirms, signs and corrects. */
  | "REFEREE"
  /** Reads, and calls the skaters. */
  | "ANNOUNCER"
  /** Reads, where reading is restricted. */
  | "VIEWER"
  /**
   * Everything an organiser may, in every event of the server. Given out at the
   * server only.
   */
  | "ADMIN";

/** TokenInfo describes a token without its secret. */
export interface TokenInfo {
  /** Id inside the event. */
  id: string;
  /** What its holder may do. */
  role: Role;
  /** With JUDGE: the judge's number. */
  judge: number;
  /** Remark of who made it: "tablet 3". */
  label: string;
  /** When it was made. */
  createTime: string | null;
  /** When it ends; unset means never. */
  expireTime: string | null;
  /** True when it was revoked. */
  revoked: boolean;
  /**
   * When its holder called last, as far as this server has heard since it started.
   * Only ListTokens says it.
   */
  lastCallTime: string | null;
}

/** GetPerformanceRequest names the performance. */
export interface GetPerformanceRequest {
  /** Event id. */
  event: string;
  /** Category of the event. */
  category: string;
  /** Segment key: "short-program". */
  segment: string;
  /** Entry id. */
  entry: string;
}

/** GetPerformanceResponse is one performance. */
export interface GetPerformanceResponse {
  /** The performance. */
  performance: Performance | null;
  /** Sequence number of the event that the answer shows. */
  sequence: string;
}

/** GetSegmentStandingRequest names the segment. */
export interface GetSegmentStandingRequest {
  /** Event id. */
  event: string;
  /** Category of the event. */
  category: string;
  /** Segment key: "short-program". */
  segment: string;
}

/** GetSegmentStandingResponse is the places of a segment. */
export interface GetSegmentStandingResponse {
  /** The places. */
  standing: SegmentStanding | null;
  /** Sequence number of the event that the answer shows. */
  sequence: string;
}

/** GetFinalStandingRequest names the category. */
export interface GetFinalStandingRequest {
  /** Event id. */
  event: string;
  /** Category of the event. */
  category: string;
}

/** GetFinalStandingResponse is the result over the segments. */
export interface GetFinalStandingResponse {
  /** The places. */
  standing: FinalStanding | null;
  /** Sequence number of the event that the answer shows. */
  sequence: string;
}

/** GetDocumentRequest names the document. */
export interface GetDocumentRequest {
  /** Event id. */
  event: string;
  /** Category of the event. */
  category: string;
  /** Which document. */
  document: Document;
  /** Segment key; needed by all but FINAL_RESULT. */
  segment?: string;
  /**
   * With SCORE_SHEETS and PANEL_SHEETS: only this entry. Empty means all that are
   * confirmed, or still to skate.
   */
  entry?: string;
  /** Left out means PDF. */
  format?: DocumentFormat;
}

/** Document is a document of an event. */
export type Document =
  /** Not a document. */
  | "DOCUMENT_UNSPECIFIED"
  /** Starting order of a segment. */
  | "STARTING_ORDER"
  /** Places of a segment. */
  | "SEGMENT_RESULT"
  /** Detailed sheet of each skater of a segment. */
  | "SCORE_SHEETS"
  /** Result over the segments. */
  | "FINAL_RESULT"
  /**
   * Empty sheets of a segment, a page for each skater who is still to skate: what
   * the panel writes on by hand when the desks fail.
   */
  | "PANEL_SHEETS";

/** DocumentFormat is the form of a document. */
export type DocumentFormat =
  /** Left out: PDF. */
  | "DOCUMENT_FORMAT_UNSPECIFIED"
  /** To print. */
  | "PDF"
  /** To calculate with: UTF-8, comma, header in the first line. */
  | "CSV";

/** ListFactsRequest asks for the log of an event. */
export interface ListFactsRequest {
  /** Event id. */
  event: string;
  /** Only facts with a greater sequence number. */
  afterSequence?: string;
  /** Most facts of one answer. 0 means 100; more than 1000 means 1000. */
  pageSize?: number;
}

/**
 * ListFactsResponse is a part of the log. The last fact's sequence number asks for
 * the next part; an empty answer means the end.
 */
export interface ListFactsResponse {
  /** Facts in their order. */
  facts: EventFact[];
}

/** EventFact is one fact of the log. */
export interface EventFact {
  /** Its number, from 1 without gaps. */
  sequence: string;
  /** When it was written. */
  time: string | null;
  /** Who did it: role, judge's number and token id. */
  actor: string;
  /** What happened: "ElementCalled". */
  kind: string;
  /** The particulars as JSON, in the stored form. Hashes of tokens are left out. */
  json: string;
  /** Id of the request that it came from. */
  requestId: string;
}

/** StartSegmentRequest names the segment. */
export interface StartSegmentRequest {
  /** Event id. */
  event: string;
  /** Category of the event. */
  category: string;
  /** Segment key: "short-program". */
  segment: string;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
}

/** StartSegmentResponse is the changed event. */
export interface StartSegmentResponse {
  /** The event as it is now. */
  event: Event | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** CallSkaterRequest says who skates. */
export interface CallSkaterRequest {
  /** Event id. */
  event: string;
  /** Category of the event. */
  category: string;
  /** Segment key: "short-program". */
  segment: string;
  /** Entry id. Empty means the next of the starting order. */
  entry?: string;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
}

/** CallSkaterResponse is the performance that begins. */
export interface CallSkaterResponse {
  /** The performance as it is now. */
  performance: Performance | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** CallElementRequest is an element. */
export interface CallElementRequest {
  /** Event id. */
  event: string;
  /** Category of the event. */
  category: string;
  /** Segment key: "short-program". */
  segment: string;
  /** Entry id. */
  entry: string;
  /**
   * Code: "3Lz+3T", in whichever letters it is typed ("3lz+3t"). Either code or
   * skated.
   */
  code?: string;
  /**
   * What was skated, from which the level is found together with the elements
   * before. Either code or skated.
   */
  skated?: LevelledElement;
  /** True when it was executed in the second half. */
  secondHalf?: boolean;
  /** Number of the element to put it in front of; 0 means behind all. */
  before?: number;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
}

/** CallElementResponse is the performance with the element. */
export interface CallElementResponse {
  /** The performance as it is now. */
  performance: Performance | null;
  /** Number of the new element. */
  element: number;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/**
 * ReviseElementRequest says what the element is now; what is left out
 * stays.
 */
export interface ReviseElementRequest {
  /** Event id. */
  event: string;
  /** Category of the event. */
  category: string;
  /** Segment key: "short-program". */
  segment: string;
  /** Entry id. */
  entry: string;
  /** Number of the element. */
  element: number;
  /**
   * Code: "3Lz+3T", in whichever letters it is typed ("3lz+3t"). Either code or
   * skated.
   */
  code?: string;
  /**
   * What was skated, from which the level is found together with the elements
   * before. Either code or skated.
   */
  skated?: LevelledElement;
  /** Whether it was executed in the second half. */
  secondHalf?: boolean;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
}

/** ReviseElementResponse is the changed performance. */
export interface ReviseElementResponse {
  /** The performance as it is now. */
  performance: Performance | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** RemoveElementRequest names the element. */
export interface RemoveElementRequest {
  /** Event id. */
  event: string;
  /** Category of the event. */
  category: string;
  /** Segment key: "short-program". */
  segment: string;
  /** Entry id. */
  entry: string;
  /** Number of the element; 0 means the one called last. */
  element?: number;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
}

/** RemoveElementResponse is the changed performance. */
export interface RemoveElementResponse {
  /** The performance as it is now. */
  performance: Performance | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** ReviewElementRequest names the element. */
export interface ReviewElementRequest {
  /** Event id. */
  event: string;
  /** Category of the event. */
  category: string;
  /** Segment key: "short-program". */
  segment: string;
  /** Entry id. */
  entry: string;
  /** Number of the element. */
  element: number;
  /** True to look at it again, false when that is done. */
  inReview?: boolean;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
}

/** ReviewElementResponse is the changed performance. */
export interface ReviewElementResponse {
  /** The performance as it is now. */
  performance: Performance | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** EndProgramRequest names the performance. */
export interface EndProgramRequest {
  /** Event id. */
  event: string;
  /** Category of the event. */
  category: string;
  /** Segment key: "short-program". */
  segment: string;
  /** Entry id. */
  entry: string;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
  /** True takes it back, until the score is confirmed: the skater has not finished. */
  takeBack?: boolean;
}

/** EndProgramResponse is the changed performance. */
export interface EndProgramResponse {
  /** The performance as it is now. */
  performance: Performance | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** SetElementMarksRequest is one judge's marks. */
export interface SetElementMarksRequest {
  /** Event id. */
  event: string;
  /** Category of the event. */
  category: string;
  /** Segment key: "short-program". */
  segment: string;
  /** Entry id. */
  entry: string;
  /** Number of the judge, from 1. */
  judge: number;
  /** The marks. */
  marks: GivenElementMark[];
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
}

/** SetElementMarksResponse is the changed performance. */
export interface SetElementMarksResponse {
  /** The performance as it is now. */
  performance: Performance | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** GivenElementMark is a mark for an element. */
export interface GivenElementMark {
  /** Number of the element. */
  element: number;
  /** The mark: a whole number on the season's scale. Left out takes the mark back. */
  mark?: number;
}

/** SetComponentMarksRequest is one judge's marks. */
export interface SetComponentMarksRequest {
  /** Event id. */
  event: string;
  /** Category of the event. */
  category: string;
  /** Segment key: "short-program". */
  segment: string;
  /** Entry id. */
  entry: string;
  /** Number of the judge, from 1. */
  judge: number;
  /** The marks. */
  marks: GivenComponentMark[];
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
}

/** SetComponentMarksResponse is the changed performance. */
export interface SetComponentMarksResponse {
  /** The performance as it is now. */
  performance: Performance | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** GivenComponentMark is a mark for a component. */
export interface GivenComponentMark {
  /** The component. */
  component: Component;
  /** The mark: from 0.25 to 10 in steps of 0.25. Left out takes the mark back. */
  mark?: number;
}

/** SetDeductionsRequest is all deductions of the performance. */
export interface SetDeductionsRequest {
  /** Event id. */
  event: string;
  /** Category of the event. */
  category: string;
  /** Segment key: "short-program". */
  segment: string;
  /** Entry id. */
  entry: string;
  /** What is taken off; empty means nothing. */
  deductions?: Deduction[];
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
}

/** SetDeductionsResponse is the changed performance. */
export interface SetDeductionsResponse {
  /** The performance as it is now. */
  performance: Performance | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** ConfirmSkaterRequest names the performance. */
export interface ConfirmSkaterRequest {
  /** Event id. */
  event: string;
  /** Category of the event. */
  category: string;
  /** Segment key: "short-program". */
  segment: string;
  /** Entry id. */
  entry: string;
  /**
   * True to confirm although a judge who is there has not marked every element;
   * what that counts as is the season's rule. Components need every mark; an element
   * without value needs none.
   */
  acceptMissingMarks?: boolean;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
}

/** ConfirmSkaterResponse is the performance with its score. */
export interface ConfirmSkaterResponse {
  /** The performance as it is now. */
  performance: Performance | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/**
 * CorrectResultRequest says what was wrong. Everything left out
 * stays.
 */
export interface CorrectResultRequest {
  /** Event id. */
  event: string;
  /** Category of the event. */
  category: string;
  /** Segment key: "short-program". */
  segment: string;
  /** Entry id. */
  entry: string;
  /** Why, for everybody to read. */
  reason: string;
  /** Elements that were something else. */
  revisedElements?: RevisedElement[];
  /** Numbers of the elements that were none. */
  removedElements?: number[];
  /** Elements that were left out. */
  addedElements?: AddedElement[];
  /** Marks for elements that were something else. */
  elementMarks?: CorrectedElementMark[];
  /** Marks for components that were something else. */
  componentMarks?: CorrectedComponentMark[];
  /** The deductions, all of them, when they were something else. */
  deductions?: CorrectedDeductions;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
}

/** CorrectResultResponse is the corrected performance. */
export interface CorrectResultResponse {
  /** The performance as it is now. */
  performance: Performance | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** PreviewCorrectionRequest is a correction as CorrectResult takes it. */
export interface PreviewCorrectionRequest {
  /** Event id. */
  event: string;
  /** Category of the event. */
  category: string;
  /** Segment key: "short-program". */
  segment: string;
  /** Entry id. */
  entry: string;
  /** Why. It changes no score, so it may be left out here. */
  reason?: string;
  /** Elements that were something else. */
  revisedElements?: RevisedElement[];
  /** Numbers of the elements that were none. */
  removedElements?: number[];
  /** Elements that were left out. */
  addedElements?: AddedElement[];
  /** Marks for elements that were something else. */
  elementMarks?: CorrectedElementMark[];
  /** Marks for components that were something else. */
  componentMarks?: CorrectedComponentMark[];
  /** The deductions, all of them, when they were something else. */
  deductions?: CorrectedDeductions;
}

/** PreviewCorrectionResponse is what the correction would change. */
export interface PreviewCorrectionResponse {
  /** The score sheet as it would be. The correction itself does not stand on it yet. */
  performance: Performance | null;
  /** Total segment score as it is: points with two digits. */
  scoreBefore: string;
  /** Places of the corrected entry. */
  places: ChangedPlaces | null;
  /**
   * Everybody else whose place in the segment or over the segments would change, in
   * the order of the segment's places as they would be.
   */
  moved: ChangedPlaces[];
  /** Sequence number of the event that the answer shows. */
  sequence: string;
}

/** ChangedPlaces is an entry's places before and after a correction. */
export interface ChangedPlaces {
  /** Entry id. */
  entry: string;
  /** Name of the entry. */
  name: string;
  /** Place in the segment as it is; 0 when there is none. */
  placeBefore: number;
  /** Place in the segment as it would be. */
  placeAfter: number;
  /** Place over the segments as it is; 0 when there is none. */
  finalPlaceBefore: number;
  /** Place over the segments as it would be. */
  finalPlaceAfter: number;
}

/** RevisedElement is an element that was something else. */
export interface RevisedElement {
  /** Number of the element. */
  element: number;
  /** Code. Empty leaves it. */
  code?: string;
  /** Whether it was executed in the second half. Left out leaves it. */
  secondHalf?: boolean;
}

/** AddedElement is an element that was left out. */
export interface AddedElement {
  /** Code. */
  code: string;
  /** True when it was executed in the second half. */
  secondHalf?: boolean;
  /** Number of the element in front of which it was skated; 0 means behind all. */
  before?: number;
  /** The marks of the judges that are there; an element without value needs none. */
  marks?: ElementMarkInput[];
}

/** CorrectedElementMark is a mark that was something else. */
export interface CorrectedElementMark {
  /** Number of the element. */
  element: number;
  /** Number of the judge, from 1. */
  judge: number;
  /** The mark: a whole number on the season's scale. A left-out one is refused. */
  mark: number;
}

/** CorrectedComponentMark is a mark that was something else. */
export interface CorrectedComponentMark {
  /** The component. */
  component: Component;
  /** Number of the judge, from 1. */
  judge: number;
  /** The mark: from 0.25 to 10 in steps of 0.25. A left-out one is refused. */
  mark: number;
}

/** CorrectedDeductions is all deductions of a performance. */
export interface CorrectedDeductions {
  /** What is taken off; empty means nothing. */
  deductions?: Deduction[];
}

/** PublishSegmentRequest names the segment. */
export interface PublishSegmentRequest {
  /** Event id. */
  event: string;
  /** Category of the event. */
  category: string;
  /** Segment key: "short-program". */
  segment: string;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
}

/** PublishSegmentResponse is the segment's result. */
export interface PublishSegmentResponse {
  /** The official result. */
  standing: SegmentStanding | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** CreateEventRequest says what the event is. */
export interface CreateEventRequest {
  /**
   * Id: 3 to 60 small letters, digits and single hyphens, beginning with a letter.
   * Empty makes one from the name.
   */
  event?: string;
  /** Name for people, up to 200 characters. */
  name: string;
  /** Where it is held. */
  place?: string;
  /** First day: "2026-03-14". */
  startDate: string;
  /** Last day. Empty means the first day. */
  endDate?: string;
  /** Season key ("2025-26") or "current". The table is pinned as it is now. */
  season: string;
  /** The revision that the caller expects. Empty accepts any. */
  revision?: string;
  /** True when reading is to need a token too. */
  restricted?: boolean;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
}

/** CreateEventResponse is the new event. */
export interface CreateEventResponse {
  /** The event as it is now. */
  event: Event | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** GetEventRequest asks for one event. */
export interface GetEventRequest {
  /** Event id. */
  event: string;
}

/** GetEventResponse is one event. */
export interface GetEventResponse {
  /** The event. */
  event: Event | null;
}

/** GetCallerRequest names the event. */
export interface GetCallerRequest {
  /** Event id. */
  event: string;
}

/** GetCallerResponse is what the caller may do in the event. */
export interface GetCallerResponse {
  /** Role of the token; unspecified without one, and with one for another event. */
  role: Role;
  /** With JUDGE: the judge's number. */
  judge: number;
  /**
   * Id of the rehearsal of the event that runs now, where the caller's desk belongs
   * meanwhile; empty when there is none, and without a token.
   */
  rehearsal: string;
}

/** BeginRehearsalRequest names the event. */
export interface BeginRehearsalRequest {
  /** Event id. */
  event: string;
}

/** BeginRehearsalResponse is the rehearsal. */
export interface BeginRehearsalResponse {
  /** Id of the rehearsal, which all calls of events take. */
  rehearsal: string;
}

/** EndRehearsalRequest names the event. */
export interface EndRehearsalRequest {
  /** Event id, of the event itself. */
  event: string;
}

/** EndRehearsalResponse is empty: everything is as before. */
export interface EndRehearsalResponse {
}

/**
 * ListEventsRequest asks for the events. Those with restricted reading are listed
 * for the administrator and for who has a token of theirs.
 */
export interface ListEventsRequest {
  /** Most events of one answer. 0 means 100; more than 1000 means 1000. */
  pageSize?: number;
  /** next_page_token of the answer before. */
  pageToken?: string;
}

/** ListEventsResponse is one page of events. */
export interface ListEventsResponse {
  /** Events in the order of their ids. */
  events: EventSummary[];
  /** Token of the next page; empty on the last one. */
  nextPageToken: string;
}

/** UpdateEventRequest says what changes; what is left out stays. */
export interface UpdateEventRequest {
  /** Event id. */
  event: string;
  /** Name for people, up to 200 characters. */
  name?: string;
  /** Where it is held. */
  place?: string;
  /** First day: "2026-03-14". */
  startDate?: string;
  /** Last day. */
  endDate?: string;
  /**
   * Season key or "current", only before the first segment starts. The table is
   * pinned as it is now, also when the season stays the same.
   */
  season?: string;
  /** Whether reading needs a token too. */
  restricted?: boolean;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
}

/** UpdateEventResponse is the changed event. */
export interface UpdateEventResponse {
  /** The event as it is now. */
  event: Event | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** SetCategoryRequest says what the category is. */
export interface SetCategoryRequest {
  /** Event id. */
  event: string;
  /** Id inside the event: 2 to 40 small letters, digits and single hyphens. */
  category: string;
  /** Title for people. Empty takes the season's. */
  title?: string;
  /** Category key of the season whose rules hold. Empty means the id. */
  rulesCategory?: string;
  /**
   * Segment keys in the order skated. Empty means all that the season has, short
   * before free.
   */
  segments?: string[];
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
  /**
   * Scopes of the segments whose values depend on one, such as the compulsory
   * dance; the others are left out.
   */
  scopes?: SegmentScope[];
}

/** SegmentScope decides which values hold in a segment. */
export interface SegmentScope {
  /** Segment key: "compulsory-dance". */
  segment: string;
  /** What is skated: "Golden Waltz". It is the scope of segments:score. */
  scope: string;
}

/** SetCategoryResponse is the changed event. */
export interface SetCategoryResponse {
  /** The event as it is now. */
  event: Event | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** RemoveCategoryRequest names the category. */
export interface RemoveCategoryRequest {
  /** Event id. */
  event: string;
  /** Category of the event. */
  category: string;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
}

/** RemoveCategoryResponse is the changed event. */
export interface RemoveCategoryResponse {
  /** The event as it is now. */
  event: Event | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** SetPanelRequest says who judges. */
export interface SetPanelRequest {
  /** Event id. */
  event: string;
  /** Category of the event; empty with an empty segment means the whole event. */
  category?: string;
  /** Segment key; empty with an empty category means the whole event. */
  segment?: string;
  /** The panel. */
  panel: EventPanelInput;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
}

/** SetPanelResponse is the changed event. */
export interface SetPanelResponse {
  /** The event as it is now. */
  event: Event | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** SetAbsentJudgesRequest names the absent judges. */
export interface SetAbsentJudgesRequest {
  /** Event id. */
  event: string;
  /** Category of the event. */
  category: string;
  /** Segment key: "short-program". */
  segment: string;
  /** Numbers of all judges that are absent; empty means that all are there. */
  judges?: number[];
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
}

/** SetAbsentJudgesResponse is the changed event. */
export interface SetAbsentJudgesResponse {
  /** The event as it is now. */
  event: Event | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** AddEntryRequest is a competitor. */
export interface AddEntryRequest {
  /** Event id. */
  event: string;
  /**
   * Id inside the event: 1 to 20 letters, digits and hyphens. Empty takes the next
   * number.
   */
  entry?: string;
  /** Category of the event. */
  category: string;
  /** Name as it is printed and announced, up to 200 characters. */
  name: string;
  /** Club, town or country as it is printed. */
  club?: string;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
  /** Title of the program as it is announced, up to 200 characters. */
  programTitle?: string;
}

/** AddEntryResponse is the new entry. */
export interface AddEntryResponse {
  /** The entry as it is now. */
  entry: Entry | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** UpdateEntryRequest says what changes; what is left out stays. */
export interface UpdateEntryRequest {
  /** Event id. */
  event: string;
  /** Entry id. */
  entry: string;
  /** Name as it is printed and announced. */
  name?: string;
  /** Club, town or country as it is printed. */
  club?: string;
  /** Category of the event, only before the entry stands in a starting order. */
  category?: string;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
  /** Title of the program as it is announced. */
  programTitle?: string;
}

/** UpdateEntryResponse is the changed entry. */
export interface UpdateEntryResponse {
  /** The entry as it is now. */
  entry: Entry | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/**
 * ListEntriesRequest asks for the entries. An event has at most 1000, so the list
 * is not paged.
 */
export interface ListEntriesRequest {
  /** Event id. */
  event: string;
  /** Only this category. Empty means all. */
  category?: string;
}

/** ListEntriesResponse lists the entries. */
export interface ListEntriesResponse {
  /** Entries in the order they were added. */
  entries: Entry[];
}

/** ImportEntriesRequest is a CSV file of entries. */
export interface ImportEntriesRequest {
  /** Event id. */
  event: string;
  /**
   * UTF-8 text whose first line is the header "entry,category,name,club" in any
   * order; comma or semicolon parts the fields. entry and club may be left out. An
   * entry id that exists already changes that entry; a line without an id adds
   * one, and is refused when its category, name and club are there already. A
   * category is an id or a title of the event's. A column program_title has titles of
   * programs; without it they stay.
   */
  csv: string;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
  /**
   * Passes over the lines whose category, name and club are there already, in place
   * of refusing them.
   */
  onlyNew?: boolean;
}

/** ImportEntriesResponse counts the entries. */
export interface ImportEntriesResponse {
  /** How many entries were added. */
  added: number;
  /** How many entries were changed. */
  changed: number;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** ExportEntriesRequest asks for the entries as CSV. */
export interface ExportEntriesRequest {
  /** Event id. */
  event: string;
  /** Only this category. Empty means all. */
  category?: string;
}

/** WithdrawEntryRequest says who withdraws. */
export interface WithdrawEntryRequest {
  /** Event id. */
  event: string;
  /** Entry id. */
  entry: string;
  /** WITHDRAWN, which is also what left out means, or DISQUALIFIED. */
  status?: CompetitorStatus;
  /** Why, in words. */
  reason?: string;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
}

/** WithdrawEntryResponse is the changed entry. */
export interface WithdrawEntryResponse {
  /** The entry as it is now. */
  entry: Entry | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** ReinstateEntryRequest says who competes again. */
export interface ReinstateEntryRequest {
  /** Event id. */
  event: string;
  /** Entry id. */
  entry: string;
  /** Why, in words. */
  reason: string;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
}

/** ReinstateEntryResponse is the changed entry. */
export interface ReinstateEntryResponse {
  /** The entry as it is now. */
  entry: Entry | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** ErasePersonRequest names the competitor. */
export interface ErasePersonRequest {
  /** Event id. */
  event: string;
  /** Entry id. */
  entry: string;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
}

/** ErasePersonResponse is the changed entry. */
export interface ErasePersonResponse {
  /** The entry as it is now. */
  entry: Entry | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** DrawStartingOrderRequest says how the order is made. */
export interface DrawStartingOrderRequest {
  /** Event id. */
  event: string;
  /** Category of the event. */
  category: string;
  /** Segment key: "short-program". */
  segment: string;
  /** The method; left out means RANDOM. */
  method?: OrderMethod;
  /** With RANDOM: the number to make the order from. Left out takes one by chance. */
  seed?: string;
  /**
   * With GIVEN: entry ids in their order, each that competes once. Once the segment
   * has started, who withdrew may keep the place.
   */
  entries?: string[];
  /** Size of the warm-up groups; 0 means one group. */
  groupSize?: number;
  /** With REVERSE_STANDING: only so many of the best skate; 0 means all. */
  qualified?: number;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
  /** Why an order that stands already is made again. It stands in the event's log. */
  reason?: string;
}

/** DrawStartingOrderResponse is the changed event. */
export interface DrawStartingOrderResponse {
  /** The event as it is now. */
  event: Event | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** CreateTokenRequest says what the token is for. */
export interface CreateTokenRequest {
  /** Event id. */
  event: string;
  /** What its holder may do. ADMIN is given out at the server only. */
  role: Role;
  /** With JUDGE: the judge's number, from 1. */
  judge?: number;
  /** Remark: "tablet 3". */
  label?: string;
  /** How long it holds; left out means until it is revoked. */
  lifetime?: string;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
}

/** CreateTokenResponse is the new token. */
export interface CreateTokenResponse {
  /**
   * The token, to be sent as "Authorization: Bearer …". It is kept nowhere: a
   * repeated call answers without it.
   */
  token: string;
  /** What it is for. */
  info: TokenInfo | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/**
 * ListTokensRequest asks for the tokens of an event. They are few, so the list is
 * not paged.
 */
export interface ListTokensRequest {
  /** Event id. */
  event: string;
}

/** ListTokensResponse lists the tokens. */
export interface ListTokensResponse {
  /** Tokens in the order they were made, revoked ones too. */
  tokens: TokenInfo[];
  /** What the server's clock says now, for times of the tokens. */
  now: string | null;
}

/** RevokeTokenRequest names the token. */
export interface RevokeTokenRequest {
  /** Event id. */
  event: string;
  /** Id of the token, not its secret. */
  token: string;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
}

/** RevokeTokenResponse is the revoked token. */
export interface RevokeTokenResponse {
  /** The token as it is now. */
  info: TokenInfo | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** CreateSeatCodeRequest says for which desk. */
export interface CreateSeatCodeRequest {
  /** Event id. */
  event: string;
  /** What its holder may do. ADMIN is given out at the server only. */
  role: Role;
  /** With JUDGE: the judge's number, from 1. */
  judge?: number;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
  /** The event's sequence number that the caller has seen. Left out accepts any. */
  expectedSequence?: string;
}

/** CreateSeatCodeResponse is the new code. */
export interface CreateSeatCodeResponse {
  /**
   * Six characters: digits and capital letters without 0, 1, I and O. It is kept
   * nowhere: a repeated call answers without it.
   */
  code: string;
  /** When it ends. */
  expireTime: string | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/** TakeSeatRequest has the code. */
export interface TakeSeatRequest {
  /** Event id. */
  event: string;
  /** The code, in capital or small letters; spaces and hyphens in it do not matter. */
  code: string;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
}

/** TakeSeatResponse is the token of the desk. */
export interface TakeSeatResponse {
  /**
   * The token, to be sent as "Authorization: Bearer …". It is kept nowhere: a
   * repeated call answers without it.
   */
  token: string;
  /** What it is for. */
  info: TokenInfo | null;
  /** Sequence number of the event after this call. */
  sequence: string;
}

/**
 * Performance is what one entry skates in one segment: the whole score sheet.
 * Before it is confirmed its marks are shown to the referee and the organiser
 * only, and to a judge the judge's own.
 */
export interface Performance {
  /** Category of the event. */
  category: string;
  /** Segment key. */
  segment: string;
  /** Entry id. */
  entry: string;
  /** Name of the entry. */
  name: string;
  /** Club of the entry. */
  club: string;
  /** Starting number, from 1. */
  number: number;
  /** How far it is. */
  state: PerformanceState;
  /** Elements in the order skated. */
  elements: PerformedElement[];
  /** Components in printed order. */
  components: PerformedComponent[];
  /** Points taken off. */
  deductions: ScoredDeduction[];
  /** Numbers of the judges that are absent. */
  absentJudges: number[];
  /**
   * Points so far, and when confirmed the score: base values, and the grade of
   * execution of every element that all judges have marked. Two digits.
   */
  elementScore: string;
  /** Program component score; empty before it is confirmed. */
  componentScore: string;
  /** Sum of the deductions: negative, or "0.00". */
  totalDeductions: string;
  /** Total segment score; empty before it is confirmed. */
  segmentScore: string;
  /** Corrections made after it was confirmed, oldest first. */
  corrections: Correction[];
  /** What still lacks for the confirmation, in plain words. */
  missing: string[];
  /** Values that were inferred and rules that are not surely known. */
  warnings: Warning[];
  /**
   * What a confirmation would announce now, for the referee and the organiser.
   * Unset when it is confirmed, and while something lacks that no referee can
   * accept as missing.
   */
  scoreToConfirm: ScoreToConfirm | null;
}

/**
 * PerformanceChange is what has changed of a performance. Its lists hold only the
 * items that are new or have changed.
 */
export interface PerformanceChange {
  /** Category of the event. */
  category: string;
  /** Segment key. */
  segment: string;
  /** Entry id. */
  entry: string;
  /** Name of the entry. */
  name?: string;
  /** Club of the entry. */
  club?: string;
  /** Starting number, from 1. */
  number?: number;
  /** How far it is. */
  state?: PerformanceState;
  /** Elements in the order skated. */
  elements?: PerformedElement[];
  /** Components in printed order. */
  components?: PerformedComponent[];
  /** Points taken off. */
  deductions?: ScoredDeduction[];
  /** Numbers of the judges that are absent. */
  absentJudges?: number[];
  /**
   * Points so far, and when confirmed the score: base values, and the grade of
   * execution of every element that all judges have marked. Two digits.
   */
  elementScore?: string;
  /** Program component score; empty before it is confirmed. */
  componentScore?: string;
  /** Sum of the deductions: negative, or "0.00". */
  totalDeductions?: string;
  /** Total segment score; empty before it is confirmed. */
  segmentScore?: string;
  /** Corrections made after it was confirmed, oldest first. */
  corrections?: Correction[];
  /** What still lacks for the confirmation, in plain words. */
  missing?: string[];
  /** Values that were inferred and rules that are not surely known. */
  warnings?: Warning[];
  /**
   * What a confirmation would announce now, for the referee and the organiser.
   * Unset when it is confirmed, and while something lacks that no referee can
   * accept as missing.
   */
  scoreToConfirm?: ScoreToConfirm | null;
}

/**
 * ScoreToConfirm is the score of a performance before its confirmation. Marks of
 * elements that are missing count as the season says.
 */
export interface ScoreToConfirm {
  /** Total element score: points with two digits. */
  elementScore: string;
  /** Program component score. */
  componentScore: string;
  /** Sum of the deductions: negative, or "0.00". */
  totalDeductions: string;
  /** Total segment score. */
  segmentScore: string;
  /** Place in the segment among those who are confirmed; 0 when there is none. */
  place: number;
  /** Place over the segments so far; 0 when there is none. */
  finalPlace: number;
}

/** PerformedElement is an element of a performance. */
export interface PerformedElement {
  /** Number inside the performance. It stays when others are put in or taken out. */
  element: number;
  /** Code in canonical form: "3Lz+3T". */
  code: string;
  /** True when it was executed in the second half. */
  secondHalf: boolean;
  /** True when the technical panel wants to look at it again. */
  inReview: boolean;
  /** Points with two digits, after all reductions and factors. */
  baseValue: string;
  /** Points of the grade of execution; empty until all judges have marked. */
  goe: string;
  /** Base value plus grade of execution; empty until all judges have marked. */
  score: string;
  /**
   * Marks for the grade of execution, by judge. Those that are missing or hidden
   * are left out.
   */
  marks: ElementMark[];
  /** How many judges have marked it. */
  marksGiven: number;
  /** How the level was found, when the element was called by what was skated. */
  call: CalledElement | null;
  /** The code in words: "triple Lutz + triple toe loop". */
  name: string;
}

/** ElementMark is one judge's mark for an element. */
export interface ElementMark {
  /** Number of the judge, from 1. */
  judge: number;
  /** The mark. Answers always have it; in a request a left-out one is refused. */
  mark?: number;
}

/** ElementMark is one judge's mark for an element. */
export interface ElementMarkInput {
  /** Number of the judge, from 1. */
  judge?: number;
  /** The mark. Answers always have it; in a request a left-out one is refused. */
  mark?: number;
}

/** PerformedComponent is a component of a performance. */
export interface PerformedComponent {
  /** The component. */
  component: Component;
  /** Its name as that season's protocols print it. */
  name: string;
  /** Factor with two digits: "1.33". */
  factor: string;
  /** The panel's mark: trimmed mean with two digits; empty before it is confirmed. */
  panelScore: string;
  /** Panel's mark times factor; empty before it is confirmed. */
  score: string;
  /** Marks by judge. Those that are missing or hidden are left out. */
  marks: ComponentMark[];
  /** How many judges have marked it. */
  marksGiven: number;
}

/** ComponentMark is one judge's mark for a component. */
export interface ComponentMark {
  /** Number of the judge, from 1. */
  judge: number;
  /** The mark: 8.25. */
  mark: number;
}

/** Correction says that a confirmed score was changed. */
export interface Correction {
  /** When. */
  time: string | null;
  /** Who did it: a role. */
  by: string;
  /** Why, as the referee wrote it. */
  reason: string;
  /** Total segment score before: points with two digits. */
  scoreBefore: string;
  /** Total segment score after. */
  scoreAfter: string;
}

/** SegmentStanding is the places of one segment. */
export interface SegmentStanding {
  /** Category of the event. */
  category: string;
  /** Segment key. */
  segment: string;
  /** Whether the referee has signed. */
  status: ResultStatus;
  /** In the order of places; those without a place last. */
  places: SegmentPlace[];
  /** The table. */
  rules: RulesInfo | null;
  /** Rules behind the places that are not surely known. */
  warnings: Warning[];
  /**
   * How many places there are in all, where places holds only some of them: on the
   * scoreboard of a large category, and in pages. Unset where it holds all.
   */
  totalPlaces?: number;
  /**
   * With total_places: another one whenever any of all places changes, so that who
   * has read them all knows when to read them again.
   */
  placesTag?: string;
}

/** ResultStatus reports whether a result holds. */
export type ResultStatus =
  /** Not a status. */
  | "RESULT_STATUS_UNSPECIFIED"
  /** Unofficial: it may change until the referee has signed. */
  | "PROVISIONAL"
  /** The referee has signed. */
  | "OFFICIAL";

/** SegmentPlace is an entry's place in a segment. */
export interface SegmentPlace {
  /** Place from 1; 0 when there is none. */
  place: number;
  /** Entry id. */
  entry: string;
  /** Name of the entry. */
  name: string;
  /** Club of the entry. */
  club: string;
  /** Starting number. */
  number: number;
  /** Total segment score: points with two digits; empty when not yet confirmed. */
  segmentScore: string;
  /** Total element score. */
  elementScore: string;
  /** Program component score. */
  componentScore: string;
  /** Sum of the deductions. */
  totalDeductions: string;
  /**
   * What decided between equal scores: "element_score", "component_score", or
   * empty when nothing had to.
   */
  tieBrokenBy: string;
  /** True when the rules part this place from another's in no way. */
  shared: boolean;
  /** Whether the entry competes. */
  status: CompetitorStatus;
  /** True when the score was changed after it was confirmed. */
  corrected: boolean;
}

/** FinalStanding is the result over a category's segments. */
export interface FinalStanding {
  /** Category of the event. */
  category: string;
  /** OFFICIAL when the referee has signed every segment. */
  status: ResultStatus;
  /** In the order of places; those without a place last. */
  places: FinalPlace[];
  /** The table. */
  rules: RulesInfo | null;
  /** Rules behind the places that are not surely known. */
  warnings: Warning[];
  /**
   * How many places there are in all, where places holds only some of them: on the
   * scoreboard of a large category, and in pages. Unset where it holds all.
   */
  totalPlaces?: number;
  /**
   * With total_places: another one whenever any of all places changes, so that who
   * has read them all knows when to read them again.
   */
  placesTag?: string;
}

/** FinalPlace is an entry's result over the segments. */
export interface FinalPlace {
  /** Place from 1; 0 when there is none. */
  place: number;
  /** Entry id. */
  entry: string;
  /** Name of the entry. */
  name: string;
  /** Club of the entry. */
  club: string;
  /**
   * Sum of the segment scores: points with two digits; empty when none is
   * confirmed and for who is disqualified.
   */
  totalScore: string;
  /** Place and score in each segment skated. */
  segments: RankedSegment[];
  /** The segment whose score decided between equal totals, or empty. */
  tieBrokenBy: string;
  /** True when the rules part this place from another's in no way. */
  shared: boolean;
  /** Whether the entry competes. */
  status: CompetitorStatus;
  /** True when the score of a segment was changed after it was confirmed. */
  corrected: boolean;
}

/** WatchEventRequest names the event and where to go on. */
export interface WatchEventRequest {
  /** Event id. */
  event: string;
  /**
   * The sequence number that the watcher saw last. Left out begins with the event
   * as it is now.
   */
  afterSequence?: string;
}

/**
 * WatchEventResponse is what has changed of an event, as far as the watcher may
 * read it with the calls that get and list. A member that is absent has not
 * changed; one that is there replaces the old one, items of lists by their id. An
 * answer without members is a heartbeat: the stream lives, and up to its sequence
 * number nothing else has changed that the watcher is shown.
 *
 * The first answer and each with reset hold everything: what is absent there is
 * not there.
 */
export interface WatchEventResponse {
  /** Sequence number of the event that the watcher has now. */
  sequence: string;
  /** True when what the watcher has is to be replaced. */
  reset: boolean;
  /** The event, as GetEvent shows it. */
  event?: Event;
  /** Entries that are new or have changed, as ListEntries shows them. */
  entries?: Entry[];
  /** Starting order of the segment that was worked on last. */
  order?: StartingOrder;
  /**
   * The performance that was called last in that segment, as GetPerformance shows
   * it. When the watcher has the same performance already and its state is the
   * same, the lists elements (by number), components (by component) and missing (by
   * what stands before " of judge") hold only the items that are new or have changed;
   * an element without call keeps the one that it had, unless its code has changed.
   * New items stand behind the others. Over REST what has not changed of the
   * performance itself is absent too.
   */
  performance?: PerformanceChange;
  /** Places of that segment, as GetSegmentStanding shows them. */
  standing?: SegmentStanding;
  /** Result of its category, as GetFinalStanding shows it. */
  finalStanding?: FinalStanding;
  /** Tokens that are new or have changed, for those who may list them. */
  tokens?: TokenInfo[];
  /** What is there no more. It is taken out before the other members are put in. */
  removed?: RemovedMember[];
}

/** StartingOrder is the starting order of a segment. */
export interface StartingOrder {
  /** Category of the event. */
  category: string;
  /** Segment key. */
  segment: string;
  /** How far the segment is. */
  state: SegmentState;
  /** The places in their order; empty before it is drawn. */
  places: StartingPlace[];
  /** How the order was made; unset before. */
  draw: OrderDraw | null;
}

/** RemovedMember names what a watcher has and is there no more. */
export interface RemovedMember {
  /**
   * "order", "performance", "standing", "finalStanding", a list of the performance:
   * "performance.elements", "performance.components", "performance.missing", or the
   * call of an element: "performance.elements.call".
   */
  member: string;
  /** Id of the item of a list; empty when the member itself is gone. */
  id: string;
}

/** LevelledElement is one element that gets a level. */
export type LevelledElement = {
} & (
  | {
    /** A spin; in pair skating, the solo spins of both partners. */
    spin: Spin;
    stepSequence?: undefined;
    pairLift?: undefined;
    twistLift?: undefined;
    deathSpiral?: undefined;
    pairSpin?: undefined;
    patternDance?: undefined;
    danceElement?: undefined;
    text?: undefined;
  }
  | {
    spin?: undefined;
    /** A step sequence; in pair skating, that of both partners. */
    stepSequence: StepSequence;
    pairLift?: undefined;
    twistLift?: undefined;
    deathSpiral?: undefined;
    pairSpin?: undefined;
    patternDance?: undefined;
    danceElement?: undefined;
    text?: undefined;
  }
  | {
    spin?: undefined;
    stepSequence?: undefined;
    /** Pair skating: an overhead lift. */
    pairLift: PairLift;
    twistLift?: undefined;
    deathSpiral?: undefined;
    pairSpin?: undefined;
    patternDance?: undefined;
    danceElement?: undefined;
    text?: undefined;
  }
  | {
    spin?: undefined;
    stepSequence?: undefined;
    pairLift?: undefined;
    /** Pair skating: a twist lift. */
    twistLift: TwistLift;
    deathSpiral?: undefined;
    pairSpin?: undefined;
    patternDance?: undefined;
    danceElement?: undefined;
    text?: undefined;
  }
  | {
    spin?: undefined;
    stepSequence?: undefined;
    pairLift?: undefined;
    twistLift?: undefined;
    /** Pair skating: a death spiral. */
    deathSpiral: DeathSpiral;
    pairSpin?: undefined;
    patternDance?: undefined;
    danceElement?: undefined;
    text?: undefined;
  }
  | {
    spin?: undefined;
    stepSequence?: undefined;
    pairLift?: undefined;
    twistLift?: undefined;
    deathSpiral?: undefined;
    /** Pair skating: a spin of both partners together. */
    pairSpin: PairSpin;
    patternDance?: undefined;
    danceElement?: undefined;
    text?: undefined;
  }
  | {
    spin?: undefined;
    stepSequence?: undefined;
    pairLift?: undefined;
    twistLift?: undefined;
    deathSpiral?: undefined;
    pairSpin?: undefined;
    /** Ice dance: a section of a pattern dance, or another element with key points. */
    patternDance: PatternDance;
    danceElement?: undefined;
    text?: undefined;
  }
  | {
    spin?: undefined;
    stepSequence?: undefined;
    pairLift?: undefined;
    twistLift?: undefined;
    deathSpiral?: undefined;
    pairSpin?: undefined;
    patternDance?: undefined;
    /** Ice dance: an element in which each partner is judged alone. */
    danceElement: DanceElement;
    text?: undefined;
  }
  | {
    spin?: undefined;
    stepSequence?: undefined;
    pairLift?: undefined;
    twistLift?: undefined;
    deathSpiral?: undefined;
    pairSpin?: undefined;
    patternDance?: undefined;
    danceElement?: undefined;
    /**
     * A spin or a step sequence in words, instead of the structure above: the
     * position, what belongs to it in any order, a comma before the next position
     * and a "/" at the change of foot. Capital and small letters are the same.
     *
     *     camel upward 8 / sit forward 3, upright straight 3
     *     flying entrance: sit behind 8 bi-fo speed / jump reverse camel 2.5; exit
     *     layback 8, layback sideways 3, layback variation 3
     *     steps: bracket 1+1, rocker 2+0; rotations body combination-left
     *
     * Before a ":" stands how it was entered: flying, difficult-flying, step-over,
     * entrance (a difficult one), backward. Positions: camel, sit, upright,
     * layback, other. Behind a position, in any order: its revolutions, which must
     * be there; a difficult variation (camel: forward, sideways, upward; sit:
     * forward, sideways, behind; upright: forward, straight, layback, biellmann;
     * layback: variation, biellmann; other: variation); where a layback leans
     * (backward, sideways); what else was accepted (jump-within, change, edge,
     * speed, blade, windmill), and the edges of a change of edge (bi-fo, fo-bi,
     * bo-fi, fi-bo). Behind a "/": step (or nothing), jump, curves, reverse (the
     * other direction). "; exit" is a difficult exit.
     *
     * Turns of a step sequence are counted clockwise+counterclockwise; "partner
     * bracket 1+0" is the other partner's of a pair. Between steps and ":" may
     * stand straight, circular or serpentine; behind ";" rotations, body,
     * combination-left, combination-right, quick-combinations, one-foot,
     * upper-body, position-changes, not-separating, badly-spread,
     * not-recognisable.
     *
     * A fault stands at "elements[0].text", with the character where it is.
     */
    text: string;
  }
);

/** LevelledElement is one element that gets a level. */
export type LevelledElementOutput = {
} & (
  | {
    /** A spin; in pair skating, the solo spins of both partners. */
    spin: SpinOutput;
    stepSequence?: undefined;
    pairLift?: undefined;
    twistLift?: undefined;
    deathSpiral?: undefined;
    pairSpin?: undefined;
    patternDance?: undefined;
    danceElement?: undefined;
    text?: undefined;
  }
  | {
    spin?: undefined;
    /** A step sequence; in pair skating, that of both partners. */
    stepSequence: StepSequenceOutput;
    pairLift?: undefined;
    twistLift?: undefined;
    deathSpiral?: undefined;
    pairSpin?: undefined;
    patternDance?: undefined;
    danceElement?: undefined;
    text?: undefined;
  }
  | {
    spin?: undefined;
    stepSequence?: undefined;
    /** Pair skating: an overhead lift. */
    pairLift: PairLiftOutput;
    twistLift?: undefined;
    deathSpiral?: undefined;
    pairSpin?: undefined;
    patternDance?: undefined;
    danceElement?: undefined;
    text?: undefined;
  }
  | {
    spin?: undefined;
    stepSequence?: undefined;
    pairLift?: undefined;
    /** Pair skating: a twist lift. */
    twistLift: TwistLiftOutput;
    deathSpiral?: undefined;
    pairSpin?: undefined;
    patternDance?: undefined;
    danceElement?: undefined;
    text?: undefined;
  }
  | {
    spin?: undefined;
    stepSequence?: undefined;
    pairLift?: undefined;
    twistLift?: undefined;
    /** Pair skating: a death spiral. */
    deathSpiral: DeathSpiralOutput;
    pairSpin?: undefined;
    patternDance?: undefined;
    danceElement?: undefined;
    text?: undefined;
  }
  | {
    spin?: undefined;
    stepSequence?: undefined;
    pairLift?: undefined;
    twistLift?: undefined;
    deathSpiral?: undefined;
    /** Pair skating: a spin of both partners together. */
    pairSpin: PairSpinOutput;
    patternDance?: undefined;
    danceElement?: undefined;
    text?: undefined;
  }
  | {
    spin?: undefined;
    stepSequence?: undefined;
    pairLift?: undefined;
    twistLift?: undefined;
    deathSpiral?: undefined;
    pairSpin?: undefined;
    /** Ice dance: a section of a pattern dance, or another element with key points. */
    patternDance: PatternDanceOutput;
    danceElement?: undefined;
    text?: undefined;
  }
  | {
    spin?: undefined;
    stepSequence?: undefined;
    pairLift?: undefined;
    twistLift?: undefined;
    deathSpiral?: undefined;
    pairSpin?: undefined;
    patternDance?: undefined;
    /** Ice dance: an element in which each partner is judged alone. */
    danceElement: DanceElementOutput;
    text?: undefined;
  }
  | {
    spin?: undefined;
    stepSequence?: undefined;
    pairLift?: undefined;
    twistLift?: undefined;
    deathSpiral?: undefined;
    pairSpin?: undefined;
    patternDance?: undefined;
    danceElement?: undefined;
    /**
     * A spin or a step sequence in words, instead of the structure above: the
     * position, what belongs to it in any order, a comma before the next position
     * and a "/" at the change of foot. Capital and small letters are the same.
     *
     *     camel upward 8 / sit forward 3, upright straight 3
     *     flying entrance: sit behind 8 bi-fo speed / jump reverse camel 2.5; exit
     *     layback 8, layback sideways 3, layback variation 3
     *     steps: bracket 1+1, rocker 2+0; rotations body combination-left
     *
     * Before a ":" stands how it was entered: flying, difficult-flying, step-over,
     * entrance (a difficult one), backward. Positions: camel, sit, upright,
     * layback, other. Behind a position, in any order: its revolutions, which must
     * be there; a difficult variation (camel: forward, sideways, upward; sit:
     * forward, sideways, behind; upright: forward, straight, layback, biellmann;
     * layback: variation, biellmann; other: variation); where a layback leans
     * (backward, sideways); what else was accepted (jump-within, change, edge,
     * speed, blade, windmill), and the edges of a change of edge (bi-fo, fo-bi,
     * bo-fi, fi-bo). Behind a "/": step (or nothing), jump, curves, reverse (the
     * other direction). "; exit" is a difficult exit.
     *
     * Turns of a step sequence are counted clockwise+counterclockwise; "partner
     * bracket 1+0" is the other partner's of a pair. Between steps and ":" may
     * stand straight, circular or serpentine; behind ";" rotations, body,
     * combination-left, combination-right, quick-combinations, one-foot,
     * upper-body, position-changes, not-separating, badly-spread,
     * not-recognisable.
     *
     * A fault stands at "elements[0].text", with the character where it is.
     */
    text: string;
  }
);

/** Spin is a spin as it was skated. */
export interface Spin {
  /** How it was entered by flying; left out means NONE. */
  flying?: Flying;
  /** True when the panel accepts a difficult entrance. */
  difficultEntrance?: boolean;
  /** True when the panel accepts a difficult exit. */
  difficultExit?: boolean;
  /** What was skated on each foot, in order: one, or two after a change of foot. */
  feet: SpinFoot[];
  /** True for a plain backward entrance, in the seasons that knew it as a feature. */
  backwardEntry?: boolean;
}

/** Spin is a spin as it was skated. */
export interface SpinOutput {
  /** How it was entered by flying; left out means NONE. */
  flying: Flying;
  /** True when the panel accepts a difficult entrance. */
  difficultEntrance: boolean;
  /** True when the panel accepts a difficult exit. */
  difficultExit: boolean;
  /** What was skated on each foot, in order: one, or two after a change of foot. */
  feet: SpinFootOutput[];
  /** True for a plain backward entrance, in the seasons that knew it as a feature. */
  backwardEntry: boolean;
}

/** SpinFoot is the part of a spin on one foot. */
export interface SpinFoot {
  /**
   * How the skater came to this foot; only from the second foot on, where left
   * out means STEP.
   */
  change?: FootChange;
  /**
   * True when this foot turns in the other direction than the one before, at
   * once.
   */
  directionReversed?: boolean;
  /** Positions in the order skated. */
  positions: SpinPosition[];
}

/** SpinFoot is the part of a spin on one foot. */
export interface SpinFootOutput {
  /**
   * How the skater came to this foot; only from the second foot on, where left
   * out means STEP.
   */
  change: FootChange;
  /**
   * True when this foot turns in the other direction than the one before, at
   * once.
   */
  directionReversed: boolean;
  /** Positions in the order skated. */
  positions: SpinPositionOutput[];
}

/** SpinPosition is one position of a spin. */
export interface SpinPosition {
  /** The position. */
  position: Position;
  /** Where the body leans; only with LAYBACK. */
  lean?: Lean;
  /** The difficult variation; only where the panel accepts one. */
  variation?: Variation;
  /** Revolutions in the position, from 0 in steps of 0.5. */
  revolutions: number;
  /** What else was done in the position and accepted by the panel. */
  features?: PositionFeature[];
  /**
   * With CHANGE_OF_EDGE: from which edge to which. Left out in a position where
   * the season counts only one change, it is taken to be that one.
   */
  edges?: EdgeChange;
}

/** SpinPosition is one position of a spin. */
export interface SpinPositionOutput {
  /** The position. */
  position: Position;
  /** Where the body leans; only with LAYBACK. */
  lean: Lean;
  /** The difficult variation; only where the panel accepts one. */
  variation: Variation;
  /** Revolutions in the position, from 0 in steps of 0.5. */
  revolutions: number;
  /** What else was done in the position and accepted by the panel. */
  features: PositionFeature[];
  /**
   * With CHANGE_OF_EDGE: from which edge to which. Left out in a position where
   * the season counts only one change, it is taken to be that one.
   */
  edges: EdgeChange;
}

/** StepSequence is a step sequence as it was skated. */
export interface StepSequence {
  /** The pattern, in the seasons that named one in the code. */
  pattern?: StepPattern;
  /** Difficult turns and steps on clean edges, counted by type and direction. */
  turns?: Turns[];
  /** Full-body rotations in both directions, long enough for the season's rule. */
  rotationsBothDirections?: boolean;
  /** Body movements, long enough for the season's rule. */
  bodyMovement?: boolean;
  /**
   * An accepted combination of difficult turns on the left foot; in pair skating
   * the first one of both partners.
   */
  turnCombinationLeft?: boolean;
  /**
   * An accepted, different combination of difficult turns on the right foot; in
   * pair skating the second one of both partners.
   */
  turnCombinationRight?: boolean;
  /** A long enough part on one foot, in the seasons that knew it. */
  oneFootSection?: boolean;
  /** Use of the upper body, in the seasons that knew it. */
  upperBody?: boolean;
  /**
   * Quickly executed combinations of difficult turns in both directions, in the
   * seasons that knew them.
   */
  quickTurnCombinations?: boolean;
  /**
   * Pair skating: the turns of the other partner, where they differ from
   * `turns`. The one with less variety decides.
   */
  partnerTurns?: Turns[];
  /** Pair skating: the partners change places often enough for the season's rule. */
  positionChanges?: boolean;
  /** Pair skating: the partners stay together long enough for the season's rule. */
  notSeparating?: boolean;
  /** The turns stand together in a part of the pattern. */
  badlySpread?: boolean;
  /** The sequence does not use the full ice, or its pattern cannot be recognised. */
  notRecognisable?: boolean;
}

/** StepSequence is a step sequence as it was skated. */
export interface StepSequenceOutput {
  /** The pattern, in the seasons that named one in the code. */
  pattern: StepPattern;
  /** Difficult turns and steps on clean edges, counted by type and direction. */
  turns: TurnsOutput[];
  /** Full-body rotations in both directions, long enough for the season's rule. */
  rotationsBothDirections: boolean;
  /** Body movements, long enough for the season's rule. */
  bodyMovement: boolean;
  /**
   * An accepted combination of difficult turns on the left foot; in pair skating
   * the first one of both partners.
   */
  turnCombinationLeft: boolean;
  /**
   * An accepted, different combination of difficult turns on the right foot; in
   * pair skating the second one of both partners.
   */
  turnCombinationRight: boolean;
  /** A long enough part on one foot, in the seasons that knew it. */
  oneFootSection: boolean;
  /** Use of the upper body, in the seasons that knew it. */
  upperBody: boolean;
  /**
   * Quickly executed combinations of difficult turns in both directions, in the
   * seasons that knew them.
   */
  quickTurnCombinations: boolean;
  /**
   * Pair skating: the turns of the other partner, where they differ from
   * `turns`. The one with less variety decides.
   */
  partnerTurns: TurnsOutput[];
  /** Pair skating: the partners change places often enough for the season's rule. */
  positionChanges: boolean;
  /** Pair skating: the partners stay together long enough for the season's rule. */
  notSeparating: boolean;
  /** The turns stand together in a part of the pattern. */
  badlySpread: boolean;
  /** The sequence does not use the full ice, or its pattern cannot be recognised. */
  notRecognisable: boolean;
}

/** Turns counts the turns or steps of one type. */
export interface Turns {
  /** The type. */
  type: TurnType;
  /** How many turned clockwise. */
  clockwise?: number;
  /** How many turned counterclockwise. */
  counterclockwise?: number;
}

/** Turns counts the turns or steps of one type. */
export interface TurnsOutput {
  /** The type. */
  type: TurnType;
  /** How many turned clockwise. */
  clockwise: number;
  /** How many turned counterclockwise. */
  counterclockwise: number;
}

/** PairLift is an overhead lift of pair skating as it was skated. */
export interface PairLift {
  /** The group without level: "3Li", "5ALi". */
  code: string;
  /**
   * What the panel accepts, in the order skated. A change of hold that is done
   * twice stands there twice.
   */
  features?: LiftFeature[];
  /**
   * The man's revolutions in each stretch in which he holds with one hand only,
   * in steps of 0.5. From them the service finds the one-hand hold.
   */
  oneHandRevolutions?: number[];
}

/** PairLift is an overhead lift of pair skating as it was skated. */
export interface PairLiftOutput {
  /** The group without level: "3Li", "5ALi". */
  code: string;
  /**
   * What the panel accepts, in the order skated. A change of hold that is done
   * twice stands there twice.
   */
  features: LiftFeatureOutput[];
  /**
   * The man's revolutions in each stretch in which he holds with one hand only,
   * in steps of 0.5. From them the service finds the one-hand hold.
   */
  oneHandRevolutions: number[];
}

/** LiftFeature is something that the panel accepts in a lift. */
export interface LiftFeature {
  /** What it is. */
  feature: LiftReport;
  /** True for a simple variation; juniors may do it with a simple one. */
  simple?: boolean;
  /**
   * True when it is similar to one that was tried in an earlier lift of the
   * program. A further one-arm dismount is similar to the first.
   */
  similar?: boolean;
  /** True when a carry interrupts it. */
  interrupted?: boolean;
}

/** LiftFeature is something that the panel accepts in a lift. */
export interface LiftFeatureOutput {
  /** What it is. */
  feature: LiftReport;
  /** True for a simple variation; juniors may do it with a simple one. */
  simple: boolean;
  /**
   * True when it is similar to one that was tried in an earlier lift of the
   * program. A further one-arm dismount is similar to the first.
   */
  similar: boolean;
  /** True when a carry interrupts it. */
  interrupted: boolean;
}

/** LiftReport is what a panel can accept in a lift. */
export type LiftReport =
  /** Not a feature. */
  | "LIFT_REPORT_UNSPECIFIED"
  /** A variation of the take-off. */
  | "DIFFICULT_TAKE_OFF"
  /** A variation of the landing. */
  | "DIFFICULT_LANDING"
  /** A change of hold or of the woman's position. */
  | "CHANGE_OF_HOLD_OR_POSITION"
  /** A difficult variation of the woman's position. */
  | "WOMAN_VARIATION"
  /** A carry. */
  | "DIFFICULT_CARRY"
  /** A change of the man's direction of rotation. */
  | "CHANGE_OF_ROTATION";

/** TwistLift is a twist lift as it was skated. */
export interface TwistLift {
  /** The code without level: "3Tw", in older seasons "3LzTw". */
  code: string;
  /** What the panel accepts, each once. */
  features?: TwistFeature[];
}

/** TwistLift is a twist lift as it was skated. */
export interface TwistLiftOutput {
  /** The code without level: "3Tw", in older seasons "3LzTw". */
  code: string;
  /** What the panel accepts, each once. */
  features: TwistFeature[];
}

/** TwistFeature is what a panel can accept in a twist lift. */
export type TwistFeature =
  /** Not a feature. */
  | "TWIST_FEATURE_UNSPECIFIED"
  /** The woman's split position. */
  | "SPLIT_POSITION"
  /** Caught at the waist without her touching the man. */
  | "CAUGHT_AT_WAIST"
  /** Her arm or arms over the head. */
  | "ARMS_OVERHEAD"
  /** A difficult take-off. */
  | "DIFFICULT_TAKE_OFF"
  /** The man's arms straight and sideways after he has let go. */
  | "PARTNER_ARMS_SIDEWAYS";

/** DeathSpiral is a death spiral as it was skated. */
export interface DeathSpiral {
  /** The code without level: "BiDs", "BoDs", "FiDs", "FoDs". */
  code: string;
  /** Revolutions in the position of a death spiral, in steps of 0.5. */
  revolutions: number;
  /** Of these with both partners low. */
  lowRevolutions?: number;
  /** True when the panel accepts a difficult entrance directly before. */
  difficultEntrance?: boolean;
  /** True when the panel accepts a difficult exit. */
  difficultExit?: boolean;
}

/** DeathSpiral is a death spiral as it was skated. */
export interface DeathSpiralOutput {
  /** The code without level: "BiDs", "BoDs", "FiDs", "FoDs". */
  code: string;
  /** Revolutions in the position of a death spiral, in steps of 0.5. */
  revolutions: number;
  /** Of these with both partners low. */
  lowRevolutions: number;
  /** True when the panel accepts a difficult entrance directly before. */
  difficultEntrance: boolean;
  /** True when the panel accepts a difficult exit. */
  difficultExit: boolean;
}

/**
 * PairSpin is a spin of both partners together. Whether it is a combination,
 * the changes of position, the variations and the revolutions without change are
 * found from what was skated.
 */
export interface PairSpin {
  /** What both partners show, in order. */
  positions: PairSpinPosition[];
  /** True for an entrance from a backward outside or inside edge. */
  backwardEdgeEntrance?: boolean;
  /** True when the panel accepts both directions, one right after the other. */
  bothDirections?: boolean;
}

/**
 * PairSpin is a spin of both partners together. Whether it is a combination,
 * the changes of position, the variations and the revolutions without change are
 * found from what was skated.
 */
export interface PairSpinOutput {
  /** What both partners show, in order. */
  positions: PairSpinPositionOutput[];
  /** True for an entrance from a backward outside or inside edge. */
  backwardEdgeEntrance: boolean;
  /** True when the panel accepts both directions, one right after the other. */
  bothDirections: boolean;
}

/** PairSpinPosition is what both partners show at the same time. */
export interface PairSpinPosition {
  /** The woman's position. */
  woman: PartnerPosition;
  /** The man's position. */
  man: PartnerPosition;
  /** Revolutions in these positions, in steps of 0.5. */
  revolutions: number;
  /** True when they came here by a change of foot. */
  changeOfFoot?: boolean;
}

/** PairSpinPosition is what both partners show at the same time. */
export interface PairSpinPositionOutput {
  /** The woman's position. */
  woman: PartnerPositionOutput | null;
  /** The man's position. */
  man: PartnerPositionOutput | null;
  /** Revolutions in these positions, in steps of 0.5. */
  revolutions: number;
  /** True when they came here by a change of foot. */
  changeOfFoot: boolean;
}

/** PartnerPosition is one partner's position in a pair spin. */
export interface PartnerPosition {
  /** The position. */
  position: Position;
  /** The difficult variation; only where the panel accepts one. */
  variation?: Variation;
}

/** PartnerPosition is one partner's position in a pair spin. */
export interface PartnerPositionOutput {
  /** The position. */
  position: Position;
  /** The difficult variation; only where the panel accepts one. */
  variation: Variation;
}

/**
 * PatternDance is a section of a pattern dance, or another element with key
 * points, as it was skated.
 */
export interface PatternDance {
  /** The code without level and key points: "1MB". */
  code: string;
  /** What the panel says of each key point, in order. */
  keyPoints: KeyPoint[];
  /** True when too few of the steps were completed for a level. */
  incomplete?: boolean;
}

/**
 * PatternDance is a section of a pattern dance, or another element with key
 * points, as it was skated.
 */
export interface PatternDanceOutput {
  /** The code without level and key points: "1MB". */
  code: string;
  /** What the panel says of each key point, in order. */
  keyPoints: KeyPoint[];
  /** True when too few of the steps were completed for a level. */
  incomplete: boolean;
}

/** KeyPoint is what the panel says of a key point. */
export type KeyPoint =
  /** Left out. */
  | "KEY_POINT_UNSPECIFIED"
  /** Met. */
  | "Y"
  /** Not met. */
  | "N"
  /** Not met because of its timing. */
  | "T";

/**
 * DanceElement is an element of ice dance in which each partner is judged
 * alone: a set of twizzles. For other kinds the answer says what is missing.
 */
export interface DanceElement {
  /** The code without partner and level: "SqTw". */
  code: string;
  /** What the woman showed. */
  woman: DancePart;
  /** What the man showed. */
  man: DancePart;
}

/**
 * DanceElement is an element of ice dance in which each partner is judged
 * alone: a set of twizzles. For other kinds the answer says what is missing.
 */
export interface DanceElementOutput {
  /** The code without partner and level: "SqTw". */
  code: string;
  /** What the woman showed. */
  woman: DancePartOutput | null;
  /** What the man showed. */
  man: DancePartOutput | null;
}

/** DancePart is what one partner showed in a set of twizzles. */
export interface DancePart {
  /** The fewest rotations in any of the twizzles, in steps of 0.5. */
  rotations: number;
  /** True when the entry edges differ. */
  differentEntryEdges?: boolean;
  /** True when both directions of rotation are shown. */
  bothDirections?: boolean;
  /** Additional features of different groups that the panel accepts. */
  additionalFeatures?: number;
}

/** DancePart is what one partner showed in a set of twizzles. */
export interface DancePartOutput {
  /** The fewest rotations in any of the twizzles, in steps of 0.5. */
  rotations: number;
  /** True when the entry edges differ. */
  differentEntryEdges: boolean;
  /** True when both directions of rotation are shown. */
  bothDirections: boolean;
  /** Additional features of different groups that the panel accepts. */
  additionalFeatures: number;
}

/** Flying is how a spin was entered by flying. */
export type Flying =
  /** Left out: no flying entry. */
  | "FLYING_UNSPECIFIED"
  /** No flying entry. */
  | "NONE"
  /** Stepped over without a clear jump. */
  | "STEP_OVER"
  /** An ordinary flying entry. */
  | "PLAIN"
  /** A difficult variation of a flying entry. */
  | "DIFFICULT";

/** FootChange is how a skater comes to the other foot. */
export type FootChange =
  /** Left out: by a step. */
  | "FOOT_CHANGE_UNSPECIFIED"
  /** By a step. */
  | "STEP"
  /** By a clear jump. */
  | "JUMP"
  /** By a curve out of one part and a curve into the next, which makes two spins. */
  | "CURVES";

/** Position is a spin position. */
export type Position =
  /** Not a position. */
  | "POSITION_UNSPECIFIED"
  /** Camel. */
  | "CAMEL"
  /** Sit. */
  | "SIT"
  /** Upright other than layback. */
  | "UPRIGHT"
  /** Layback or sideways leaning upright. */
  | "LAYBACK"
  /** None of the basic positions. */
  | "NON_BASIC";

/** Lean is where the body leans in a layback. */
export type Lean =
  /** Left out. */
  | "LEAN_UNSPECIFIED"
  /** Backward: the classic layback. */
  | "BACKWARD"
  /** Sideways. */
  | "SIDEWAYS";

/** Variation is a category of difficult variations. */
export type Variation =
  /** No difficult variation. */
  | "VARIATION_UNSPECIFIED"
  /** Camel, shoulder line parallel to the ice. */
  | "CAMEL_FORWARD"
  /** Camel, shoulder line vertical. */
  | "CAMEL_SIDEWAYS"
  /** Camel, shoulder line turned beyond vertical. */
  | "CAMEL_UPWARD"
  /** Sit, free leg forward. */
  | "SIT_FORWARD"
  /** Sit, free leg sideways. */
  | "SIT_SIDEWAYS"
  /** Sit, free leg behind. */
  | "SIT_BEHIND"
  /** Upright, torso forward. */
  | "UPRIGHT_FORWARD"
  /** Upright, torso straight or sideways. */
  | "UPRIGHT_STRAIGHT_OR_SIDEWAYS"
  /** Biellmann. */
  | "BIELLMANN"
  /** Layback. */
  | "LAYBACK"
  /** Of a non-basic position. */
  | "NON_BASIC";

/**
 * PositionFeature is what a panel accepts in a position besides a difficult
 * variation. Eight revolutions, the layback's change of side, a Biellmann after
 * a layback, all positions on the second foot and both directions are found from
 * what was skated and are not named here.
 */
export type PositionFeature =
  /** Not a feature. */
  | "POSITION_FEATURE_UNSPECIFIED"
  /**
   * A clear jump within the spin, taken off and landed on the same foot: before
   * this position or, where it is the first of a foot, within it.
   */
  | "JUMP_WITHIN"
  /** A difficult change into this position on the same foot. */
  | "DIFFICULT_CHANGE_OF_POSITION"
  /** A clear change of edge in the position. */
  | "CHANGE_OF_EDGE"
  /** A clear increase of speed in the position. */
  | "INCREASE_OF_SPEED"
  /** Spinning on a difficult part of the blade. */
  | "DIFFICULT_BLADE"
  /** A windmill (illusion) in the position. */
  | "WINDMILL";

/**
 * EdgeChange is a change of edge on one foot: forward and backward, inside and
 * outside.
 */
export type EdgeChange =
  /** Left out. */
  | "EDGE_CHANGE_UNSPECIFIED"
  /** Backward inside to forward outside. */
  | "BI_FO"
  /** Forward outside to backward inside. */
  | "FO_BI"
  /** Backward outside to forward inside. */
  | "BO_FI"
  /** Forward inside to backward outside. */
  | "FI_BO";

/** StepPattern is the pattern of a step sequence on the ice. */
export type StepPattern =
  /** Left out: the pattern is free. */
  | "STEP_PATTERN_UNSPECIFIED"
  /** Straight line (SlSt). */
  | "STRAIGHT_LINE"
  /** Circular (CiSt). */
  | "CIRCULAR"
  /** Serpentine (SeSt). */
  | "SERPENTINE";

/** TurnType is a difficult turn or step. */
export type TurnType =
  /** Not a turn. */
  | "TURN_TYPE_UNSPECIFIED"
  /** Twizzle. */
  | "TWIZZLE"
  /** Bracket. */
  | "BRACKET"
  /** Loop. */
  | "LOOP"
  /** Counter. */
  | "COUNTER"
  /** Rocker. */
  | "ROCKER"
  /** Choctaw. */
  | "CHOCTAW";

/** CalledElement is the call of one element. */
export interface CalledElement {
  /** Code with level: "CCoSp3", "FCSp4V". */
  code: string;
  /**
   * "B", "1", "2", "3" or "4"; empty when there is no level. Where each partner
   * has a level, the lower one; the code has both.
   */
  level: string;
  /** True when the element has no value. */
  noValue: boolean;
  /** True when the value is reduced (the "V" of the code). */
  reducedValue: boolean;
  /**
   * Points with two digits; empty when the season has no value for the code,
   * which is then a warning.
   */
  baseValue: string;
  /** Every feature that was tried or found, counted or not. */
  features: CalledFeature[];
  /** What would bring the next level; unset when there is none. */
  toNextLevel: NextLevel | null;
  /** Remarks in plain words. */
  notes: string[];
  /**
   * What was skated in the words of LevelledElement.text, so that both forms can be
   * shown; empty for kinds that have no words.
   */
  text: string;
}

/** CalledFeature is one feature of an element and whether it counted. */
export interface CalledFeature {
  /** The feature. */
  feature: Feature;
  /** Where in the element: "feet[0].positions[0]". Empty means the whole element. */
  at: string;
  /** True when it counts for the level. */
  counted: boolean;
  /** Why it does not count; unset when it counts. */
  reason?: FeatureReason;
  /** The same for a coach, in plain words. */
  message: string;
  /** Key of the table's rule that decided. */
  rule: string;
  /** `at` in words: "foot 1, position 1". Empty means the whole element. */
  where: string;
}

/** NextLevel is what would bring the next level. */
export interface NextLevel {
  /** The level: "1" to "4". */
  level: string;
  /** Any one of these would do. */
  options: LevelOption[];
}

/** LevelOption is one way to the next level. */
export interface LevelOption {
  /** The feature to add; unset when something else than a feature is missing. */
  feature: Feature;
  /** How, in plain words. The coach decides what is safe for the skater. */
  message: string;
}

/** Feature is something that raises a level. */
export type Feature =
  /** Not a feature. */
  | "FEATURE_UNSPECIFIED"
  /** Spin: a difficult variation of a position. */
  | "DIFFICULT_VARIATION"
  /** Spin: change of foot by a clear jump. */
  | "CHANGE_OF_FOOT_BY_JUMP"
  /** Spin: a jump within the spin without changing foot. */
  | "JUMP_WITHIN"
  /** Spin: a difficult change of position on the same foot. */
  | "DIFFICULT_CHANGE_OF_POSITION"
  /** Spin: a difficult entrance. */
  | "DIFFICULT_ENTRANCE"
  /** Spin: a difficult exit. */
  | "DIFFICULT_EXIT"
  /** Spin: a clear change of edge. */
  | "CHANGE_OF_EDGE"
  /** Spin: all three basic positions on the second foot. */
  | "ALL_POSITIONS_ON_SECOND_FOOT"
  /** Spin: both directions following each other at once. */
  | "BOTH_DIRECTIONS"
  /** Spin: a clear increase of speed. */
  | "INCREASE_OF_SPEED"
  /** Spin of single skating: eight revolutions without any change. */
  | "EIGHT_REVOLUTIONS"
  /** Spin: a difficult variation of a flying entry. */
  | "DIFFICULT_FLYING_ENTRY"
  /** Spin: spinning on a difficult part of the blade. */
  | "DIFFICULT_BLADE"
  /** Layback spin: change from the backward to the sideways position or back. */
  | "LAYBACK_SIDE_CHANGE"
  /** Layback spin: a Biellmann after the layback. */
  | "BIELLMANN_AFTER_LAYBACK"
  /** Step sequence: variety of difficult turns and steps. */
  | "TURN_VARIETY"
  /** Step sequence: full-body rotations in both directions. */
  | "ROTATIONS_BOTH_DIRECTIONS"
  /** Step sequence: body movements. */
  | "BODY_MOVEMENT"
  /** Step sequence: combinations of difficult turns. */
  | "TURN_COMBINATIONS"
  /** Step sequence: a part on one foot (older seasons). */
  | "ONE_FOOT_SECTION"
  /** Step sequence: use of the upper body (older seasons). */
  | "UPPER_BODY"
  /** Pair lift and twist lift: the take-off. */
  | "DIFFICULT_TAKE_OFF"
  /** Pair lift: the landing. */
  | "DIFFICULT_LANDING"
  /** Pair lift: a change of hold or of the woman's position. */
  | "CHANGE_OF_HOLD_OR_POSITION"
  /** Pair lift: a difficult variation of the woman's position. */
  | "WOMAN_VARIATION"
  /** Pair lift: a carry. */
  | "DIFFICULT_CARRY"
  /** Pair lift: a hold with one hand. */
  | "ONE_HAND_HOLD"
  /** Pair lift: further turns with one hand. */
  | "FURTHER_ONE_HAND_HOLD"
  /** Pair lift: a change of the man's direction of rotation. */
  | "CHANGE_OF_ROTATION"
  /** Twist lift: the woman's split position. */
  | "SPLIT_POSITION"
  /** Twist lift: caught at the waist. */
  | "CAUGHT_AT_WAIST"
  /** Twist lift: her arm or arms over the head. */
  | "ARMS_OVERHEAD"
  /** Twist lift: the man's arms sideways. */
  | "PARTNER_ARMS_SIDEWAYS"
  /** Death spiral: a further revolution with both partners low. */
  | "LOW_REVOLUTION"
  /** Pair spin: changes of the basic position of both partners. */
  | "CHANGES_OF_POSITION"
  /** Pair spin: difficult variations of both partners. */
  | "VARIATIONS_OF_BOTH"
  /** Pair spin: one more difficult variation. */
  | "FURTHER_VARIATION"
  /** Pair spin: an entrance from a backward edge. */
  | "BACKWARD_EDGE_ENTRANCE"
  /** Spin of pair skating: six revolutions without any change. */
  | "SIX_REVOLUTIONS"
  /** Step sequence of pair skating: changes of position, or not separating. */
  | "POSITION_CHANGES_OR_HOLD"
  /** Pattern dance: a key point. */
  | "KEY_POINT"
  /** Twizzles: enough rotations. */
  | "TWIZZLE_ROTATIONS"
  /** Twizzles: different entry edges. */
  | "DIFFERENT_ENTRY_EDGES"
  /** Twizzles: additional features. */
  | "ADDITIONAL_FEATURES"
  /**
   * Spin: one of the set of features of which the level needs one. It stands in
   * an answer where all of them are missing (MANDATORY_FEATURE_MISSING).
   */
  | "MANDATORY_FEATURE";

/** FeatureReason is why a feature did not count. */
export type FeatureReason =
  /** It counted. */
  | "FEATURE_REASON_UNSPECIFIED"
  /** The foot already has as many features as can count on one foot. */
  | "LIMIT_PER_FOOT"
  /** The feature counts once in a program and was used before. */
  | "ALREADY_USED"
  /** Too few revolutions. */
  | "TOO_FEW_REVOLUTIONS"
  /** It does not count in this position. */
  | "WRONG_POSITION"
  /** The spin already has as many features of this sort as can count. */
  | "LIMIT_PER_SPIN"
  /** The level needs a feature that is not there. */
  | "MANDATORY_FEATURE_MISSING"
  /** The season does not know the feature. */
  | "NOT_A_FEATURE_THIS_SEASON"
  /** It does not count in this segment. */
  | "NOT_IN_THIS_SEGMENT"
  /** The variation was used before, and what is done in it does not count. */
  | "USED_VARIATION"
  /** The level is full without it. */
  | "SURPLUS"
  /** The element lacks a position that the feature or level needs. */
  | "MISSING_POSITION"
  /** Two features of which only one can count, such as entrance and exit. */
  | "SHARED_FEATURE"
  /** The category's highest level is reached. */
  | "LEVEL_CAP"
  /** The difficult turns have too little variety. */
  | "NO_VARIETY"
  /** Only a part of what the feature asks for was shown. */
  | "INCOMPLETE"
  /** The feature counts no more often in one element. */
  | "LIMIT_PER_ELEMENT"
  /** Similar to one in an earlier element. */
  | "SIMILAR_TO_EARLIER"
  /** A carry interrupts it. */
  | "INTERRUPTED"
  /** A simple form, where this category needs a difficult one. */
  | "TOO_SIMPLE"
  /** The key point is not met. */
  | "KEY_POINT_NOT_MET"
  /** The key point is not met because of its timing. */
  | "KEY_POINT_TIMING"
  /** A fault of the element limits its level or takes it; the notes name it. */
  | "ELEMENT_FAULT"
  /** It was done in a part that is not called. */
  | "NOT_CALLED";

/** GetAbilitiesRequest says for which rules the attempts are counted. */
export interface GetAbilitiesRequest {
  /** Book id. */
  book: string;
  /** Skater id. */
  skater: string;
  /**
   * Season key ("2025-26") or "current". Empty takes the skater's own, and without one
   * "current".
   */
  season?: string;
  /** Category key of the season. Empty takes the skater's own. */
  category?: string;
  /**
   * Only attempts of this day or later ("2026-10-01"), or of this moment or later.
   * Empty means all.
   */
  since?: string;
}

/** GetAbilitiesResponse is what the attempts come to. */
export interface GetAbilitiesResponse {
  /**
   * What the skater can do, as PlanProgram takes it (the first 60 of them): the
   * element with the most attempts first.
   */
  abilities: AbilityOutput[];
  /** What stands behind each ability, in the same order. */
  records: AbilityRecord[];
  /**
   * Elements of the book that the season cannot value, with the reason: the field is
   * their code.
   */
  leftOut: LeftOut[];
  /** How it is counted. */
  counting: Counting | null;
  /** The table. */
  rules: RulesInfo | null;
  /** Rules and values that are not surely known. */
  warnings: Warning[];
}

/** Counting says how attempts become a chance, for whoever wants to check it. */
export interface Counting {
  /**
   * What is added to the attempts that came and to those that did not, before they are
   * divided: half an attempt on either side.
   */
  prior: number;
  /** An attempt that is this many days older than the skater's newest counts half. */
  halfLifeDays: number;
  /** How much of the chance lies between low and high: 0.9. */
  interval: number;
  /** From which chance on a change is called better (and below 1 less it: worse): 0.95. */
  sure: number;
  /** The fewest attempts on either side of a change that are compared: 5. */
  fewest: number;
  /** All of it in words. */
  message: string;
}

/** AbilityRecord is what stands behind an ability. */
export interface AbilityRecord {
  /** Code as it was meant: that of the ability. */
  code: string;
  /** How many attempts there are. */
  attempts: number;
  /** How many came as meant, or with a higher level, without a fall. */
  successes: number;
  /**
   * How many have a grade. Where none has, 0 stands for attempts without a fall, and
   * the lowest grade for those with one.
   */
  graded: number;
  /**
   * How many of the attempts came in a way that is not among the four of the ability.
   * Each is counted there as the one of the four that is worth most without being
   * worth more; where all are worth more, as the one that is worth least.
   */
  folded: number;
  /** How it came when it did not come as meant, the most frequent first; all ways. */
  came: CameCount[];
  /**
   * What was noted as the cause, the most frequent first; those without are counted
   * under the empty cause.
   */
  causes: CauseCount[];
  /** Week by week, the oldest first; weeks without an attempt are left out. */
  weeks: WeekCount[];
  /** Before and after each noted change, the newest first. */
  changes: ChangeEffect[];
  /**
   * How many of the attempts say what was skated (level) in a way that CallLevels reads;
   * of the skater's 500 newest that say it.
   */
  levelled: number;
  /**
   * In how many of those each feature counted that counted in any: the one that was
   * missing most often first.
   */
  features: FeatureCount[];
}

/** FeatureCount is how often a feature of a level counted. */
export interface FeatureCount {
  /** The feature. */
  feature: Feature;
  /** In how many attempts it counted. */
  attempts: number;
}

/** CameCount is one way in which an element came. */
export interface CameCount {
  /** Code as the panel would call it. */
  code: string;
  /** True when it was a fall. */
  fall: boolean;
  /** How often. */
  attempts: number;
}

/** CauseCount is a cause of misses. */
export interface CauseCount {
  /** The cause in the coach's word; empty where none was noted. */
  cause: string;
  /** How many misses have it. */
  attempts: number;
}

/** WeekCount is the attempts of a week. */
export interface WeekCount {
  /** Its Monday, in UTC: "2026-11-09". */
  week: string;
  /** The attempts. */
  share: Share | null;
}

/**
 * Share is how many of some attempts came as meant, and what chance of success that
 * speaks for.
 */
export interface Share {
  /** How many attempts there are. */
  attempts: number;
  /** How many came as meant. */
  successes: number;
  /** The chance of success, 0 to 1. Each attempt counts alike. */
  success: number;
  /** Where the true chance lies, 9 times in 10: the lower end. */
  low: number;
  /** The upper end. */
  high: number;
}

/** ChangeEffect compares the attempts before a change with those since. */
export interface ChangeEffect {
  /** The change. */
  change: Change | null;
  /** The attempts up to it, from the change before it on that concerns the element. */
  before: Share | null;
  /** The attempts since, up to the next change that concerns the element. */
  after: Share | null;
  /** What can be said. */
  verdict: ChangeVerdict;
  /**
   * The chance that it has become better, 0 to 1; left out where there are not enough
   * attempts.
   */
  better?: number;
  /**
   * How many more attempts will tell, if they come as those since the change have; left
   * out where it can be told already, and where 1000 would not tell.
   */
  more?: number;
  /** In plain words. */
  message: string;
}

/** ChangeVerdict is what can be said of a change. */
export type ChangeVerdict =
  /** Not said. */
  | "CHANGE_VERDICT_UNSPECIFIED"
  /** Fewer than five attempts before it, or since. */
  | "NOT_ENOUGH"
  /** It may be chance. */
  | "TOO_EARLY"
  /** It has become better, with 95 chances in 100 or more. */
  | "BETTER"
  /** It has become worse, with 95 chances in 100 or more. */
  | "WORSE";

/**
 * ListRunThroughsRequest says by which rules run-throughs are scored. The list is not
 * paged: it has the newest 100; earlier ones are asked for by to.
 */
export interface ListRunThroughsRequest {
  /** Book id. */
  book: string;
  /** Skater id. */
  skater: string;
  /**
   * Season key ("2025-26") or "current". Empty takes the skater's own, and without one
   * "current".
   */
  season?: string;
  /** Category key of the season. Empty takes the skater's own. */
  category?: string;
  /** Segment key: "free-skating". Empty takes that of the skater's only planned program. */
  segment?: string;
  /** As in ListAttempts. */
  from?: string;
  /** As in ListAttempts. */
  to?: string;
}

/** ListRunThroughsResponse lists the run-throughs. */
export interface ListRunThroughsResponse {
  /** Run-throughs, the newest first. */
  runThroughs: RunThrough[];
}

/**
 * RunThrough is a program that was run through in practice. What its elements would have
 * scored is found as CheckProgram does: the calls of its codes stand, and so do repeated
 * jumps and elements too many. An element without a grade counts with 0, after a fall
 * with the lowest grade. It stands in the second half where the planned program of the
 * segment has it there.
 */
export interface RunThrough {
  /** What its attempts have as run_through. */
  runThrough: string;
  /** The time of its first element. */
  time: string | null;
  /** Its elements in the order skated. */
  attempts: Attempt[];
  /**
   * What the elements score together: points with two digits. Empty where they cannot be
   * scored; error says why.
   */
  elementScore: string;
  /** How many falls. */
  falls: number;
  /** What the falls take off: points with two digits, "-2.00". */
  fallDeduction: string;
  /** The elements as they are credited, with what the rules say of them. */
  program: CheckProgramResponse | null;
  /** Why it cannot be scored: the status that CheckProgram answers, with its details. */
  error: Status | null;
}

/** Book is a book of attempts. */
export interface Book {
  /** Id of the book, which the server makes: 16 small letters and digits. */
  book: string;
  /** What its owner calls it. */
  title: string;
  /** Words that the book offers for the cause of a miss, in the owner's order. */
  causes: string[];
  /** When it was made. */
  createTime: string | null;
  /** How many skaters stand in it. */
  skaters: number;
}

/** Skater is a skater of a book. */
export interface Skater {
  /** Id of the skater, which the server makes: "1", "2", … in the order added. */
  skater: string;
  /** Name that the coach has chosen. */
  name: string;
  /** Season key that the skater practises for: "2025-26", "current"; may be empty. */
  season: string;
  /** Category key of that season: "senior-women"; may be empty. */
  category: string;
  /** The planned programs, at most one a segment. */
  programs: SkaterProgram[];
  /** How many attempts are kept. */
  attempts: number;
  /** The time of the newest attempt; left out when there is none. */
  lastTime: string | null;
}

/** SkaterProgram is what a skater plans to skate in a segment. */
export interface SkaterProgram {
  /** Segment key: "free-skating". */
  segment: string;
  /** The elements in the order skated, at most 30. */
  elements: PlannedElementOutput[];
}

/** SkaterProgram is what a skater plans to skate in a segment. */
export interface SkaterProgramInput {
  /** Segment key: "free-skating". */
  segment: string;
  /** The elements in the order skated, at most 30. */
  elements?: PlannedElement[];
}

/** Attempt is one element that was meant, and what came of it. */
export interface Attempt {
  /** Id of the attempt, which the server makes: "1", "2", … for each skater. */
  attempt: string;
  /** When it was. Left out, it is when the server took it. */
  time: string | null;
  /**
   * Code as it was meant: "3Lz+3T", "CCoSp4". It has no call of the panel, as an
   * ability of PlanProgram.
   */
  planned: string;
  /**
   * Code as the panel would call what came: "3Lz<", "1Lz", "CCoSp3"; an element of
   * the same kind. Empty means as it was meant.
   */
  came: string;
  /**
   * Grade of execution, in steps of 0.01 between -5 and 5. Left out when nobody gave
   * one.
   */
  grade?: number;
  /** True when it was a fall. */
  fall: boolean;
  /** Why it did not come, in the coach's own word: "pattern", up to 60 characters. */
  cause: string;
  /**
   * What the attempts of one run-through of a program have in common, up to 64
   * characters. Empty for one that was tried by itself.
   */
  runThrough: string;
  /** Remark, up to 500 characters. */
  note: string;
  /** What was skated of an element with a level, as CallLevels takes it. */
  level: LevelledElementOutput | null;
}

/** Attempt is one element that was meant, and what came of it. */
export interface AttemptInput {
  /** Id of the attempt, which the server makes: "1", "2", … for each skater. */
  attempt?: string;
  /** When it was. Left out, it is when the server took it. */
  time?: string;
  /**
   * Code as it was meant: "3Lz+3T", "CCoSp4". It has no call of the panel, as an
   * ability of PlanProgram.
   */
  planned: string;
  /**
   * Code as the panel would call what came: "3Lz<", "1Lz", "CCoSp3"; an element of
   * the same kind. Empty means as it was meant.
   */
  came?: string;
  /**
   * Grade of execution, in steps of 0.01 between -5 and 5. Left out when nobody gave
   * one.
   */
  grade?: number;
  /** True when it was a fall. */
  fall?: boolean;
  /** Why it did not come, in the coach's own word: "pattern", up to 60 characters. */
  cause?: string;
  /**
   * What the attempts of one run-through of a program have in common, up to 64
   * characters. Empty for one that was tried by itself.
   */
  runThrough?: string;
  /** Remark, up to 500 characters. */
  note?: string;
  /** What was skated of an element with a level, as CallLevels takes it. */
  level?: LevelledElement;
}

/** Change is something that was changed in practice. */
export interface Change {
  /** Id of the change, which the server makes. */
  change: string;
  /** From when on it holds. */
  time: string | null;
  /** What was changed, in the coach's words. */
  text: string;
  /**
   * Code of the element that it concerns, as attempts have it in planned. Empty means
   * every element.
   */
  code: string;
}

/** CreateBookRequest says what the book is. */
export interface CreateBookRequest {
  /** What its owner calls it, up to 200 characters. */
  title: string;
  /** Words for the cause of a miss: at most 50, up to 60 characters each. */
  causes?: string[];
}

/** CreateBookResponse is the new book. */
export interface CreateBookResponse {
  /** The book. */
  book: Book | null;
  /**
   * The token of the book, to be sent as "Authorization: Bearer …". It is kept
   * nowhere; who loses it cannot read the book any more.
   */
  token: string;
}

/** GetBookRequest names a book. */
export interface GetBookRequest {
  /** Book id. */
  book: string;
}

/** GetBookResponse is a book. */
export interface GetBookResponse {
  /** The book. */
  book: Book | null;
}

/** UpdateBookRequest says what changes; what is left out stays. */
export interface UpdateBookRequest {
  /** Book id. */
  book: string;
  /** What its owner calls it, up to 200 characters. */
  title?: string;
  /** The words for causes, all of them. */
  causes?: BookCauses;
}

/** BookCauses replaces the words that a book offers for the cause of a miss. */
export interface BookCauses {
  /** At most 50, up to 60 characters each. Empty takes all away. */
  causes?: string[];
}

/** UpdateBookResponse is the changed book. */
export interface UpdateBookResponse {
  /** The book as it is now. */
  book: Book | null;
}

/** DeleteBookRequest names a book. */
export interface DeleteBookRequest {
  /** Book id. */
  book: string;
}

/** DeleteBookResponse says that the book is gone. */
export interface DeleteBookResponse {
}

/** RenewBookTokenRequest names a book. */
export interface RenewBookTokenRequest {
  /** Book id. */
  book: string;
}

/** RenewBookTokenResponse is the new token. */
export interface RenewBookTokenResponse {
  /** The token of the book. It is kept nowhere; the one before has ended. */
  token: string;
}

/** AddSkaterRequest says who the skater is. */
export interface AddSkaterRequest {
  /** Book id. */
  book: string;
  /** Name that the coach chooses, up to 200 characters. */
  name: string;
  /** Season key that the skater practises for: "2025-26", "current". */
  season?: string;
  /** Category key of that season: "senior-women". */
  category?: string;
  /** The planned programs, at most one a segment. */
  programs?: SkaterProgramInput[];
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
}

/** AddSkaterResponse is the new skater. */
export interface AddSkaterResponse {
  /** The skater as it is now. */
  skater: Skater | null;
}

/**
 * ListSkatersRequest asks for the skaters. A book has at most 1000, so the list is
 * not paged.
 */
export interface ListSkatersRequest {
  /** Book id. */
  book: string;
}

/** ListSkatersResponse lists the skaters. */
export interface ListSkatersResponse {
  /** Skaters in the order they were added. */
  skaters: Skater[];
}

/** UpdateSkaterRequest says what changes; what is left out stays. */
export interface UpdateSkaterRequest {
  /** Book id. */
  book: string;
  /** Skater id. */
  skater: string;
  /** Name that the coach chooses, up to 200 characters. */
  name?: string;
  /** Season key that the skater practises for; empty takes it away. */
  season?: string;
  /** Category key of that season; empty takes it away. */
  category?: string;
  /** The planned programs, all of them. */
  programs?: SkaterPrograms;
}

/** SkaterPrograms replaces the planned programs of a skater. */
export interface SkaterPrograms {
  /** At most one a segment. Empty takes all away. */
  programs?: SkaterProgramInput[];
}

/** UpdateSkaterResponse is the changed skater. */
export interface UpdateSkaterResponse {
  /** The skater as it is now. */
  skater: Skater | null;
}

/** DeleteSkaterRequest names a skater. */
export interface DeleteSkaterRequest {
  /** Book id. */
  book: string;
  /** Skater id. */
  skater: string;
}

/** DeleteSkaterResponse says that the skater is gone. */
export interface DeleteSkaterResponse {
}

/** AddAttemptsRequest is what was tried. */
export interface AddAttemptsRequest {
  /** Book id. */
  book: string;
  /** Skater id. */
  skater: string;
  /** The attempts, 1 to 1000. */
  attempts: AttemptInput[];
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
}

/** AddAttemptsResponse is what was added. */
export interface AddAttemptsResponse {
  /**
   * The attempts in the order of the request, as they were taken: with their ids, and
   * codes in their canonical order.
   */
  attempts: Attempt[];
}

/** ListAttemptsRequest says which attempts. */
export interface ListAttemptsRequest {
  /** Book id. */
  book: string;
  /** Skater id. */
  skater: string;
  /**
   * Only those of this day or later ("2026-10-01"), or of this moment or later
   * ("2026-10-01T15:30:00Z"). Days are those of UTC. Empty means from the first on.
   */
  from?: string;
  /**
   * Only those of this day or earlier, or earlier than this moment. Empty means up to
   * the last.
   */
  to?: string;
  /** Only those that were meant so: "3Lz". Empty means all. */
  code?: string;
  /** Only those of this run-through. Empty means all. */
  runThrough?: string;
  /** How many at most: 1 to 1000, or 0 for 100. */
  pageSize?: number;
  /**
   * Where to go on: next_page_token of the page before. It holds while no attempt of
   * the skater has changed.
   */
  pageToken?: string;
}

/** ListAttemptsResponse is a page of attempts. */
export interface ListAttemptsResponse {
  /** Attempts, the newest first. */
  attempts: Attempt[];
  /** Token of the next page; empty on the last. */
  nextPageToken: string;
}

/** UpdateAttemptRequest says what changes; what is left out stays. */
export interface UpdateAttemptRequest {
  /** Book id. */
  book: string;
  /** Skater id. */
  skater: string;
  /** Attempt id. */
  attempt: string;
  /** When it was. */
  time?: string;
  /** Code as it was meant. */
  planned?: string;
  /** Code as the panel would call what came; empty means as it was meant. */
  came?: string;
  /** Grade of execution, in steps of 0.01 between -5 and 5. */
  grade?: number;
  /** True takes the grade away. */
  ungraded?: boolean;
  /** True when it was a fall. */
  fall?: boolean;
  /** Why it did not come; empty takes the cause away. */
  cause?: string;
  /** The run-through that it belongs to; empty takes it out of one. */
  runThrough?: string;
  /** Remark; empty takes it away. */
  note?: string;
  /** What was skated of an element with a level. */
  level?: LevelledElement;
}

/** UpdateAttemptResponse is the changed attempt. */
export interface UpdateAttemptResponse {
  /** The attempt as it is now. */
  attempt: Attempt | null;
}

/** DeleteAttemptRequest names an attempt. */
export interface DeleteAttemptRequest {
  /** Book id. */
  book: string;
  /** Skater id. */
  skater: string;
  /** Attempt id. */
  attempt: string;
}

/** DeleteAttemptResponse says that the attempt is gone. */
export interface DeleteAttemptResponse {
}

/** ImportAttemptsRequest is a CSV file of attempts. */
export interface ImportAttemptsRequest {
  /** Book id. */
  book: string;
  /** Skater id. */
  skater: string;
  /**
   * UTF-8 text whose first line is the header
   * "time,planned,came,grade,fall,cause,run_through,note,level" in any order; comma or
   * semicolon parts the fields; at most 20,000 lines. time and planned must be there;
   * time is a day ("2026-10-01") or a moment ("2026-10-01T15:30:00Z"), fall is true,
   * false or empty, level is the JSON of the attempt's level. A line is passed over
   * where an attempt with the same time, planned and came is there already, each
   * attempt standing for one line.
   */
  csv: string;
}

/** ImportAttemptsResponse counts the lines. */
export interface ImportAttemptsResponse {
  /** How many attempts were added. */
  added: number;
  /** How many lines were passed over. */
  passedOver: number;
}

/** ExportAttemptsRequest says which attempts. */
export interface ExportAttemptsRequest {
  /** Book id. */
  book: string;
  /** Skater id. */
  skater: string;
  /** As in ListAttempts. */
  from?: string;
  /** As in ListAttempts. */
  to?: string;
  /** Only those that were meant so: "3Lz". Empty means all. */
  code?: string;
}

/** AddChangeRequest says what was changed. */
export interface AddChangeRequest {
  /** Book id. */
  book: string;
  /** Skater id. */
  skater: string;
  /** From when on it holds. Left out, it is from now on. */
  time?: string;
  /** What was changed, up to 200 characters: "new entry into the Lutz". */
  text: string;
  /**
   * Code of the element that it concerns, as attempts have it in planned. Empty means
   * every element.
   */
  code?: string;
  /**
   * Makes the call repeatable: up to 64 visible ASCII characters that the caller
   * uses once. Empty means that a repetition is a new call.
   */
  requestId?: string;
}

/** AddChangeResponse is the new change. */
export interface AddChangeResponse {
  /** The change. */
  change: Change | null;
}

/**
 * ListChangesRequest asks for the changes. A skater has at most 1000, so the list is
 * not paged.
 */
export interface ListChangesRequest {
  /** Book id. */
  book: string;
  /** Skater id. */
  skater: string;
}

/** ListChangesResponse lists the changes. */
export interface ListChangesResponse {
  /** Changes, the newest first. */
  changes: Change[];
}

/** DeleteChangeRequest names a change. */
export interface DeleteChangeRequest {
  /** Book id. */
  book: string;
  /** Skater id. */
  skater: string;
  /** Change id. */
  change: string;
}

/** DeleteChangeResponse says that the change is gone. */
export interface DeleteChangeResponse {
}

/** CheckProgramRequest is a planned or executed program. */
export interface CheckProgramRequest {
  /** Season key ("2025-26") or "current". */
  season: string;
  /** The revision that the caller expects. Empty accepts any. */
  revision?: string;
  /** Category key of the season: "senior-women". */
  category: string;
  /** Segment key: "free-skating". */
  segment: string;
  /**
   * Condition that decides the value of an element which has several in the
   * season: the compulsory dance ("Golden Waltz"), or the kind of competition.
   * Empty where every value has no condition; the error SCOPE_REQUIRED names the
   * choices.
   */
  scope?: string;
  /** The elements in the order skated; or text instead. */
  elements?: PlannedElement[];
  /**
   * The program as text, instead of elements: codes with commas, semicolons or
   * line ends between. Behind a code may stand x (executed in the second half)
   * and an expected grade with its sign; a | marks the half; # begins a remark:
   * "3Lz+3T +2, CCoSp4, StSq3 | 2A, 3F +1.5". A fault names its line:
   * "text.line[1]".
   */
  text?: string;
  /**
   * The expected average mark of each component that the segment has; none of
   * them when no total is to be predicted.
   */
  components?: ExpectedComponent[];
  /** Length of the program in seconds; 0 when it is not known. */
  durationSeconds?: number;
  /**
   * A second season ("2016-17", "current"): the same program under its rules
   * stands in the answer's compared. Empty compares nothing.
   */
  compareSeason?: string;
  /**
   * True while the program is still being written: an element that cannot be
   * read, or that the season does not have, is left out and told in left_out,
   * where it would otherwise be an error. A second season that cannot take the
   * program is left out the same way.
   */
  partial?: boolean;
  /**
   * True for a program that was skated: "*" and "+REP" in a code stand as the
   * panel's decision, each on the jump that it follows; a "*" at the end of a
   * combination is that of its last jump. A jump without value fills its place and
   * counts as executed for repetition; nothing else of a code is a decision of the
   * panel, and the rest is checked around it. False takes both off and finds them
   * by the rules, with the finding CALLS_TAKEN_OFF. "+SEQ" and "+COMBO" stand in
   * either case. A second season takes them off always: they are calls by the rules
   * of the first.
   */
  keepPanelCalls?: boolean;
}

/** PlannedElement is an element as planned, or as the technical panel called it. */
export interface PlannedElement {
  /**
   * Code: "3Lz+3T", "CCoSp4", "2Lz+2A*+2T*+SEQ+REP". What becomes of "*" and
   * "+REP" is said at keep_panel_calls.
   */
  code: string;
  /** True when it is executed in the second half. */
  secondHalf?: boolean;
  /**
   * Expected grade of execution as the panel's average, in steps of 0.01 on the
   * season's scale: 2.5. Left out when no grade is expected; then only the base
   * value counts.
   */
  grade?: number;
}

/** PlannedElement is an element as planned, or as the technical panel called it. */
export interface PlannedElementOutput {
  /**
   * Code: "3Lz+3T", "CCoSp4", "2Lz+2A*+2T*+SEQ+REP". What becomes of "*" and
   * "+REP" is said at keep_panel_calls.
   */
  code: string;
  /** True when it is executed in the second half. */
  secondHalf: boolean;
  /**
   * Expected grade of execution as the panel's average, in steps of 0.01 on the
   * season's scale: 2.5. Left out when no grade is expected; then only the base
   * value counts.
   */
  grade?: number;
}

/** ExpectedComponent is the mark that is expected for a component. */
export interface ExpectedComponent {
  /** The component. */
  component: Component;
  /** The panel's average, in steps of 0.01: 8.25. */
  mark: number;
}

/** CheckProgramResponse is a program as a season's rules credit it. */
export interface CheckProgramResponse {
  /** One for each element of the request, in its order. */
  elements: CreditedElement[];
  /**
   * What the rules say about the program, in the order of its elements; what is
   * about the whole program comes last.
   */
  findings: Finding[];
  /** Sum of the base values: points with two digits. */
  totalBaseValue: string;
  /**
   * What the elements of each kind are worth together, in the order in which
   * the kinds first come.
   */
  kinds: KindTotal[];
  /** The predicted score; only when a grade or component marks are expected. */
  predicted: PredictedScore | null;
  /**
   * Words of caution that belong beside every suggestion of something harder;
   * empty when nothing harder is suggested. Show them.
   */
  caution: string;
  /** The table. */
  rules: RulesInfo | null;
  /** Rules and values that are not surely known. */
  warnings: Warning[];
  /**
   * The same program under the second season that the request named. Expected
   * grades and component marks are carried over only when both seasons have the
   * same scale of grades and the same components; else the warning
   * EXPECTATIONS_UNUSED says so. Has no compared of its own.
   */
  compared: CheckProgramResponse | null;
  /** What was left out of the request; only when it is partial. */
  leftOut: LeftOut[];
}

/** BatchCheckProgramsRequest is many programs. */
export interface BatchCheckProgramsRequest {
  /** Season key ("2025-26") or "current", for the programs that name none. */
  season: string;
  /**
   * The revision that the caller expects, for the programs that name none.
   * Empty accepts any.
   */
  revision?: string;
  /** The programs, at most 1000. */
  programs: CheckProgramRequest[];
}

/** BatchCheckProgramsResponse answers many programs. */
export interface BatchCheckProgramsResponse {
  /** One for each program of the request, in its order. */
  results: ProgramResult[];
}

/** ProgramResult is a program as the rules credit it, or why it cannot be checked. */
export type ProgramResult = {
} & (
  | {
    /** The program. */
    program: CheckProgramResponse;
    error?: undefined;
  }
  | {
    program?: undefined;
    /**
     * What was wrong with this program: the status that CheckProgram would have
     * answered, with its details.
     */
    error: Status;
  }
);

/** LeftOut is something of a partial request that was left out, and why. */
export interface LeftOut {
  /**
   * Its path in the request: "text.line[1]", "elements[3].code",
   * "compareSeason". In a text, elements are counted among those that could be
   * read.
   */
  field: string;
  /** The reason of the error that it would have been: "CODE_INVALID". */
  reason: string;
  /** What is the matter, in plain words. */
  message: string;
}

/** CreditedElement is an element as the rules credit it. */
export interface CreditedElement {
  /**
   * Code as it would be printed: with "*", "+REP", "+SEQ", "+COMBO" and the
   * highest level that the category has.
   */
  code: string;
  /**
   * Kind of the element: "jump", "spin", "step", "choreo", "lift", "throw",
   * "twist", "death_spiral", "spiral", "pattern", "twizzle", "other".
   */
  kind: string;
  /** Name in words: "triple Lutz + triple toe loop". */
  name: string;
  /** Points with two digits, after all reductions and factors. */
  baseValue: string;
  /** The jumps or moves of the element. */
  parts: Part[];
  /** What the sum of the parts was multiplied by. */
  factors: Factor[];
  /**
   * Points of the expected grade, with two digits; empty when none is expected
   * or its points are not known.
   */
  goe: string;
  /** Base value, with the points of the grade where one is expected. */
  score: string;
  /** Positions in findings, from 0, of what is about this element. */
  findings: number[];
  /** What one level or one call of the panel would change. */
  worth: ElementChange[];
}

/**
 * ElementChange is what an element would gain or lose by another call, the
 * grade staying as expected.
 */
export interface ElementChange {
  /** The other call. */
  call: PanelCall;
  /**
   * Position of the jump in the element, from 0; left out when the call is about
   * the whole element.
   */
  jump?: number;
  /** Code of the element with that call. */
  code: string;
  /** What the score changes by: points with two digits, negative for a loss. */
  difference: string;
  /** In plain words. */
  message: string;
}

/** PanelCall is a call of the technical panel. */
export type PanelCall =
  /** Not a call. */
  | "PANEL_CALL_UNSPECIFIED"
  /** One level higher. */
  | "NEXT_LEVEL"
  /** Landed on the quarter ("q"). */
  | "ON_QUARTER"
  /** Under-rotated ("<"). */
  | "UNDER_ROTATED"
  /** Downgraded ("<<"). */
  | "DOWNGRADED"
  /** Unclear edge ("!"). */
  | "UNCLEAR_EDGE"
  /** Wrong edge ("e"). */
  | "WRONG_EDGE"
  /** A fall: the lowest grade, and the deduction for a first fall. */
  | "FALL";

/** Finding is one thing that the rules say about a program. */
export interface Finding {
  /** What it means for the score. */
  severity: Severity;
  /** What is the matter. */
  code: FindingCode;
  /**
   * Position of the element, from 0; left out when it is about the program as a
   * whole.
   */
  element?: number;
  /**
   * Position of the jump in the element, from 0; left out when it is about the
   * whole element.
   */
  jump?: number;
  /** The place as a path: "elements[3]", "elements[3].jumps[1]", "elements". */
  at: string;
  /** Key of the rule in the season's table. */
  rule: string;
  /** Where the rule was read. */
  source: string;
  /** How sure the rule is: "high", "medium", "low", "memory" or "inferred". */
  confidence: string;
  /** What is the matter, in plain words. */
  message: string;
  /** What to change; may be empty. */
  advice: string;
}

/** Severity says what a finding means for the score. */
export type Severity =
  /** Not said. */
  | "SEVERITY_UNSPECIFIED"
  /** Nothing is lost. */
  | "INFO"
  /** Points may be lost or are left unused. */
  | "WARNING"
  /** Something has no value, or less of it. */
  | "ERROR";

/** FindingCode is a kind of finding. More may be added. */
export type FindingCode =
  /** Not said. */
  | "FINDING_CODE_UNSPECIFIED"
  /** More elements of a kind than the program may have. */
  | "TOO_MANY_ELEMENTS"
  /** Fewer elements of a kind than the program needs. */
  | "ELEMENT_MISSING"
  /** An element that the program may not have. */
  | "ELEMENT_NOT_ALLOWED"
  /** Two elements that have to be different are the same. */
  | "SAME_ELEMENT"
  /** More jump combinations and sequences than allowed. */
  | "TOO_MANY_COMBINATIONS"
  /** More combinations of the greatest length than allowed. */
  | "TOO_MANY_LONG_COMBINATIONS"
  /** A combination of more jumps than allowed. */
  | "COMBINATION_TOO_LONG"
  /** The required combination is missing. */
  | "COMBINATION_MISSING"
  /** The jumps cannot follow each other directly, so they are a sequence. */
  | "READ_AS_SEQUENCE"
  /** A sequence that the season does not have. */
  | "SEQUENCE_NOT_ALLOWED"
  /** A jump behind the end of a combination that was broken off. */
  | "AFTER_BREAK"
  /** One jump is executed more often than allowed. */
  | "JUMP_TOO_OFTEN"
  /** More different jumps are repeated than allowed. */
  | "TOO_MANY_REPEATED_JUMPS"
  /** More different quadruple jumps are repeated than allowed. */
  | "TOO_MANY_REPEATED_QUADS"
  /** A jump is repeated without a combination or sequence. */
  | "REPEATED_ALONE"
  /** A jump that the program needs is missing. */
  | "REQUIRED_JUMP_MISSING"
  /** A jump that the category may not execute. */
  | "JUMP_NOT_ALLOWED"
  /** The Axel is not one that the short program takes. */
  | "WRONG_AXEL"
  /** The jump alone is not one that the short program takes. */
  | "WRONG_SOLO_JUMP"
  /** A jump in the combination is not one that the short program takes. */
  | "WRONG_COMBINATION_JUMP"
  /** More double jumps in the combination than allowed. */
  | "TOO_MANY_DOUBLES"
  /** The same jump in two elements of the short program. */
  | "JUMP_TWICE"
  /** Two spins of the same code. */
  | "SPIN_SAME_CODE"
  /** A spin that fills none of the program's places for spins. */
  | "SPIN_NOT_REQUIRED"
  /** A spin that the program needs is missing. */
  | "SPIN_MISSING"
  /** A level higher than the category has. */
  | "LEVEL_CAPPED"
  /** A levelled element without its level. */
  | "NO_LEVEL"
  /** An attempt without turns, which takes a place and has no value. */
  | "NO_TURNS"
  /** The program is longer than allowed. */
  | "TOO_LONG"
  /** The program is shorter than allowed. */
  | "TOO_SHORT"
  /** An Euler that is not between two other jumps. */
  | "EULER_MISPLACED"
  /** "*" or "+REP" of the request were taken off. */
  | "CALLS_TAKEN_OFF";

/** KindTotal is what the elements of one kind are worth together. */
export interface KindTotal {
  /** The kind, as in an element. */
  kind: string;
  /** How many there are, also those without value. */
  count: number;
  /** Sum of their base values. */
  baseValue: string;
  /** Sum of their scores. */
  score: string;
}

/**
 * PredictedScore is what the program would score with the expected grades and
 * component marks, before deductions.
 */
export interface PredictedScore {
  /**
   * Total element score; elements without an expected grade count with their
   * base value.
   */
  elementScore: string;
  /** Program component score; empty when no component marks are expected. */
  componentScore: string;
  /** Both together; empty when no component marks are expected. */
  total: string;
}

/** PlanProgramRequest is what a skater can do and what is asked of a program. */
export interface PlanProgramRequest {
  /** Season key ("2025-26") or "current". */
  season: string;
  /** The revision that the caller expects. Empty accepts any. */
  revision?: string;
  /** Category key of the season: "senior-women". */
  category: string;
  /** Segment key: "free-skating". */
  segment: string;
  /**
   * Condition that decides the value of an element which has several in the
   * season, as in CheckProgram.
   */
  scope?: string;
  /** What the skater can do, each element once: 1 to 60. */
  abilities: Ability[];
  /** What the program must have. */
  keep?: KeptAbility[];
  /** Bounds for jumps over the whole program: for the load, for health. At most 20. */
  limits?: JumpLimit[];
  /** What the second half costs jumps and throws. Left out, it costs nothing. */
  secondHalf?: SecondHalfCost;
  /**
   * The expected average mark of each component that the segment has; none of
   * them when only element scores are of interest.
   */
  components?: ExpectedComponent[];
  /** What the best program has most of; left out: the expected score. */
  aim?: PlanAim;
  /**
   * A segment score: points, "105.00". The aim CHANCE_OF_TARGET needs it; with it
   * and components each plan says its chance.
   */
  target?: string;
  /** How many plans, the best first: 1 to 10; left out: 1. */
  plans?: number;
  /**
   * True for scores in each plan, as for the chance of a total over two segments.
   * Needs components.
   */
  scores?: boolean;
}

/** Ability is an element as it is meant, and how it comes. */
export interface Ability {
  /**
   * Code: "3Lz+3T", "CCoSp4". It has no call of the panel: no sign, no "*", "+REP"
   * or "+COMBO".
   */
  code: string;
  /** The chance that it comes as meant, 0 to 1, read to a millionth. */
  success: number;
  /** The mean grade of execution when it does, in steps of 0.01 on the season's scale. */
  grade: number;
  /** The number of attempts that success was counted in; 0 when it is not known. */
  attempts?: number;
  /**
   * How often it may be in the program. Left out: twice for a jump alone, once for
   * everything else.
   */
  atMost?: number;
  /**
   * What comes instead, at most 4. Their chances and success are 1 together, within
   * 0.001. Left out, what is assumed stands in the answer; an element without a
   * level below it needs them unless its success is 1.
   */
  misses?: MissInput[];
  /**
   * Where the true chance of success lies, 9 times in 10, as GetAbilities answers it:
   * the lower end. A plan does not use it.
   */
  low?: number;
  /** The upper end. A plan does not use it. */
  high?: number;
}

/** Ability is an element as it is meant, and how it comes. */
export interface AbilityOutput {
  /**
   * Code: "3Lz+3T", "CCoSp4". It has no call of the panel: no sign, no "*", "+REP"
   * or "+COMBO".
   */
  code: string;
  /** The chance that it comes as meant, 0 to 1, read to a millionth. */
  success?: number;
  /** The mean grade of execution when it does, in steps of 0.01 on the season's scale. */
  grade?: number;
  /** The number of attempts that success was counted in; 0 when it is not known. */
  attempts: number;
  /**
   * How often it may be in the program. Left out: twice for a jump alone, once for
   * everything else.
   */
  atMost?: number;
  /**
   * What comes instead, at most 4. Their chances and success are 1 together, within
   * 0.001. Left out, what is assumed stands in the answer; an element without a
   * level below it needs them unless its success is 1.
   */
  misses: Miss[];
  /**
   * Where the true chance of success lies, 9 times in 10, as GetAbilities answers it:
   * the lower end. A plan does not use it.
   */
  low?: number;
  /** The upper end. A plan does not use it. */
  high?: number;
}

/** Miss is one way in which an ability does not come as meant. */
export interface Miss {
  /**
   * Code as the panel would call it: "3Lz+2T", "3Lz<", "3Lz+COMBO". An element of
   * the same kind as the ability.
   */
  code: string;
  /** The chance of it, 0 to 1, read to a millionth. */
  chance?: number;
  /** The mean grade of execution then, in steps of 0.01. */
  grade?: number;
  /** True when it is a fall, which costs its deduction. */
  fall: boolean;
}

/** Miss is one way in which an ability does not come as meant. */
export interface MissInput {
  /**
   * Code as the panel would call it: "3Lz+2T", "3Lz<", "3Lz+COMBO". An element of
   * the same kind as the ability.
   */
  code: string;
  /** The chance of it, 0 to 1, read to a millionth. */
  chance: number;
  /** The mean grade of execution then, in steps of 0.01. */
  grade: number;
  /** True when it is a fall, which costs its deduction. */
  fall?: boolean;
}

/**
 * KeptAbility names an ability that the program must have. Named twice, it is there
 * twice.
 */
export interface KeptAbility {
  /** Code of the ability. */
  code: string;
  /** The half that it must stand in; left out: either. */
  secondHalf?: boolean;
}

/** JumpLimit bounds one jump, or all jumps of one number of turns. */
export interface JumpLimit {
  /** The jump: "3Lz"; or turns instead. */
  jump?: string;
  /** The number of turns, 1 to 5. */
  turns?: number;
  /** How many of them the program may have, those in combinations too. */
  atMost: number;
}

/** SecondHalfCost is what tiredness takes from jumps and throws in the second half. */
export interface SecondHalfCost {
  /**
   * What the chances of success are multiplied by, 0 to 1; left out: 1. Misses keep
   * their proportions.
   */
  success?: number;
  /** What is added to each grade, in steps of 0.01: -0.2. Grades stay on the scale. */
  grade?: number;
  /**
   * How many jump elements may stand there; left out: half of the places, rounded
   * up.
   */
  atMost?: number;
}

/** PlanAim is what the best program has most of. */
export type PlanAim =
  /** Left out: the expected score. */
  | "PLAN_AIM_UNSPECIFIED"
  /** The expected score. */
  | "EXPECTED_SCORE"
  /** The chance of reaching the target. Needs target and components. */
  | "CHANCE_OF_TARGET";

/** PlanProgramResponse has the best programs, and what practice is worth. */
export interface PlanProgramResponse {
  /**
   * The plans, the best first. They differ in at least one jump element, in a
   * program without jumps in at least one element; so there may be fewer than were
   * asked for.
   */
  plans: ProgramPlan[];
  /**
   * True when no legal program of these abilities is better than the first plan,
   * over all choices of elements and halves. A legal program is one for which
   * CheckProgram has no finding of severity ERROR. False when the time was over
   * first, and for CHANCE_OF_TARGET unless the target is reached surely.
   */
  optimal: boolean;
  /**
   * What no program's expected_net_score exceeds: points with two digits; empty for
   * CHANCE_OF_TARGET.
   */
  bound: string;
  /**
   * What practice is worth: of each usable ability, the most gain first. Those that
   * the time was too short for are left out.
   */
  practice: PracticeWorth[];
  /** What was taken for abilities without misses. */
  assumed: AssumedMisses[];
  /** Abilities that lose value even alone, so that no plan has them. */
  unusable: UnusableAbility[];
  /** What the answer takes for granted. Show them. */
  assumptions: Assumption[];
  /** Words of caution that belong beside every plan. Show them. */
  caution: string;
  /** The table. */
  rules: RulesInfo | null;
  /** Rules and values that are not surely known. */
  warnings: Warning[];
}

/** ProgramPlan is one program. Its means are exact and rounded once, half up. */
export interface ProgramPlan {
  /** The elements in skating order, the second half last. */
  elements: PlanElement[];
  /**
   * The joint mean of the element scores: every pattern of outcomes credited by the
   * rules. Points with two digits.
   */
  expectedElementScore: string;
  /**
   * The sum of the elements' expected_score. It flatters: a miss may repeat another
   * jump or fill another place, which only the joint mean sees.
   */
  asPlannedScore: string;
  /** The expected number of falls. */
  expectedFalls: number;
  /**
   * The expected segment score: elements, components and what falls cost by the
   * season's whole scale. Empty without components.
   */
  expectedSegmentScore: string;
  /** How segment scores spread; left out without components. */
  spread: ScoreSpread | null;
  /**
   * How far expected_net_score can be off because successes were counted in so many
   * attempts: its standard error, in points. Empty when no ability says attempts.
   */
  standardError: string;
  /**
   * The chance of a segment score of at least the target; left out without target
   * or components.
   */
  chanceOfTarget?: number;
  /** By how many points expected_net_score is below that of the first plan. */
  differs: string;
  /**
   * The swap against the first plan in words, and whether the difference is smaller
   * than what is known.
   */
  message: string;
  /** Places that no element fills. */
  empty: EmptyPlace[];
  /**
   * The program as CheckProgram answers it when all comes as meant, without rules
   * and warnings.
   */
  program: CheckProgramResponse | null;
  /**
   * The joint mean less the expected deduction for falls: what plans are compared
   * by.
   */
  expectedNetScore: string;
  /** Every segment score that can come, the lowest first; only when asked for. */
  scores: ScoreChance[];
}

/** PlanElement is one element of a plan. */
export interface PlanElement {
  /** Code of the ability. */
  code: string;
  /** True when it stands in the second half. */
  secondHalf: boolean;
  /**
   * What it scores on average while all others come as meant: points with two
   * digits.
   */
  expectedScore: string;
  /** The chance that it comes as meant, in its half. */
  chance: number;
  /** Position of the ability in the request, from 0. */
  ability: number;
  /** Its mean grade when it comes as meant, in its half. */
  grade: number;
}

/** ScoreChance is a segment score and how often it is reached. */
export interface ScoreChance {
  /** Points with two digits. */
  score: string;
  /** The chance of at least that score, to a millionth. */
  atLeast: number;
}

/** ScoreSpread says how segment scores spread: points with two digits. */
export interface ScoreSpread {
  /** One time in ten the score is not above it. */
  p10: string;
  /** Every other time the score is not above it. */
  p50: string;
  /** Nine times in ten the score is not above it. */
  p90: string;
}

/** EmptyPlace are places of a program that no ability fills. */
export interface EmptyPlace {
  /** Key of the box in the season's content rules: "spin". */
  place: string;
  /** How many of them stay empty. */
  count: number;
  /** The box in words: "spins". */
  title: string;
}

/** PracticeWorth is what more success of one ability would bring. */
export interface PracticeWorth {
  /** Code of the ability. */
  code: string;
  /** True when the plan with the best expected score has it. */
  inPlan: boolean;
  /**
   * What ten points more of success (0.1, at most to 1) would add to
   * expected_net_score, by planning again: points with two digits.
   */
  gain: string;
  /**
   * The success from which it is in the best program, in steps of 0.01; left out
   * when it never is.
   */
  needed?: number;
  /** Both in words. */
  message: string;
}

/** AssumedMisses is what was taken for an ability without misses. */
export interface AssumedMisses {
  /** Position of the ability in the request, from 0. */
  ability: number;
  /** What comes instead. */
  misses: Miss[];
}

/** UnusableAbility is an ability that loses value even alone. */
export interface UnusableAbility {
  /** Position of the ability in the request, from 0. */
  ability: number;
  /** What CheckProgram finds of a program of it alone. */
  finding: Finding | null;
}

/** Assumption is something that the answer takes for granted. */
export interface Assumption {
  /** Which one. */
  code: PlanAssumption;
  /** In plain words. */
  message: string;
}

/** PlanAssumption names what a plan takes for granted. */
export type PlanAssumption =
  /** Not said. */
  | "PLAN_ASSUMPTION_UNSPECIFIED"
  /** Elements come or fail independently of each other. */
  | "INDEPENDENT"
  /** The order of the elements inside a half was not chosen. */
  | "ORDER"
  /** Tiredness is the same for all jumps and throws of the second half. */
  | "TIREDNESS"
  /** The load on the body is not counted. */
  | "LOAD"
  /** A mean grade is taken for the mean of its points. */
  | "GRADES"
  /** Misses were assumed. */
  | "MISSES";

/** CompetitorStatus reports whether a competitor takes a place. */
export type CompetitorStatus =
  /** Not said: takes a place. */
  | "COMPETITOR_STATUS_UNSPECIFIED"
  /** Takes a place. */
  | "COMPETING"
  /** Withdrew: takes none. */
  | "WITHDRAWN"
  /** Disqualified: takes none. */
  | "DISQUALIFIED";

/** SegmentScore is a competitor's score of one segment. */
export interface SegmentScore {
  /** Segment key: "short-program". */
  segment: string;
  /** Total segment score: points with at most two digits. */
  segmentScore: string;
  /** Total element score; breaks ties in some segments. */
  elementScore?: string;
  /** Program component score; breaks ties in other segments. */
  componentScore?: string;
  /**
   * WITHDRAWN or DISQUALIFIED takes the competitor out of this segment and of
   * the final result.
   */
  status?: CompetitorStatus;
}

/** RankSegmentRequest is the scores of one segment. */
export interface RankSegmentRequest {
  /** Season key ("2025-26") or "current". */
  season: string;
  /** The revision that the caller expects. Empty accepts any. */
  revision?: string;
  /** Segment key of the scores. */
  segment: string;
  /** The scores, in any order, at most 1000. */
  entries: SegmentEntry[];
}

/** SegmentEntry is a competitor's score in the segment that is ranked. */
export interface SegmentEntry {
  /** The caller's own name for the competitor. */
  id: string;
  /** Total segment score: points with at most two digits. */
  segmentScore: string;
  /** Total element score. */
  elementScore?: string;
  /** Program component score. */
  componentScore?: string;
  /** Whether the competitor takes a place. */
  status?: CompetitorStatus;
}

/** RankSegmentResponse is the segment's standing. */
export interface RankSegmentResponse {
  /** In the order of places; those without a place last. */
  entries: RankedEntry[];
  /** The table. */
  rules: RulesInfo | null;
  /** Rules behind the places that are not surely known. */
  warnings: Warning[];
}

/** RankedEntry is a competitor's place in a segment. */
export interface RankedEntry {
  /** The caller's own name for the competitor. */
  id: string;
  /** Place from 1; 0 when the competitor takes none. */
  place: number;
  /** Total segment score: points with two digits. */
  segmentScore: string;
  /**
   * What decided between equal scores: "element_score", "component_score", or
   * empty when nothing had to.
   */
  tieBrokenBy: string;
  /** True when the rules part this place from another's in no way. */
  shared: boolean;
}

/** RankEventRequest is the scores of all segments skated so far. */
export interface RankEventRequest {
  /** Season key ("2025-26") or "current". */
  season: string;
  /** The revision that the caller expects. Empty accepts any. */
  revision?: string;
  /** Category key of the season. Empty ranks without checking the segments. */
  category?: string;
  /** The competitors, in any order, at most 1000. */
  competitors: Competitor[];
}

/** Competitor is one competitor's scores. */
export interface Competitor {
  /** The caller's own name for the competitor. */
  id: string;
  /** The segments skated. */
  segments?: SegmentScore[];
  /**
   * Whether the competitor takes a place in the final result. DISQUALIFIED takes
   * the places in the segments too; WITHDRAWN keeps those of the segments skated.
   */
  status?: CompetitorStatus;
}

/** RankEventResponse is the result over the segments. */
export interface RankEventResponse {
  /** In the order of places; those without a place last. */
  competitors: RankedCompetitor[];
  /** The table. */
  rules: RulesInfo | null;
  /** Rules behind the places that are not surely known. */
  warnings: Warning[];
}

/** RankedCompetitor is a competitor's result over the segments. */
export interface RankedCompetitor {
  /** The caller's own name for the competitor. */
  id: string;
  /** Place from 1; 0 when the competitor takes none. */
  place: number;
  /** Sum of the segment scores: points with two digits. */
  totalScore: string;
  /**
   * The segment whose score decided between equal totals, or empty; between those
   * who skated a single segment "element_score" or "component_score".
   */
  tieBrokenBy: string;
  /** True when the rules part this place from another's in no way. */
  shared: boolean;
  /** Place and score in each segment skated. */
  segments: RankedSegment[];
}

/** RankedSegment is a competitor's place in one segment of an event. */
export interface RankedSegment {
  /** Segment key. */
  segment: string;
  /** Place from 1; 0 when the competitor takes none. */
  place: number;
  /** Total segment score: points with two digits. */
  segmentScore: string;
}

/**
 * ListSeasonsRequest asks for all seasons. There is one a year, so the list is
 * not paged.
 */
export interface ListSeasonsRequest {
}

/** ListSeasonsResponse lists the seasons. */
export interface ListSeasonsResponse {
  /** Seasons, oldest first. */
  seasons: SeasonSummary[];
  /**
   * Key of the season that "current" stands for now: the one valid on the
   * server's date, or the newest if none is.
   */
  current: string;
  /** Set when no table is valid on the server's date. */
  warnings: Warning[];
}

/** SeasonSummary is one season of the list. */
export interface SeasonSummary {
  /** Season key: "2025-26". */
  season: string;
  /** Title for people. */
  title: string;
  /** Fingerprint of the table. */
  revision: string;
  /** First day on which the table is valid: "2025-07-01". */
  validFrom: string;
  /** Last day on which the table is valid: "2026-06-30". */
  validTo: string;
  /** Disciplines that the table has values for: "singles", "pairs", "dance". */
  disciplines: string[];
}

/** GetSeasonRequest asks for one season's table. */
export interface GetSeasonRequest {
  /** Season key ("2025-26") or "current". */
  season: string;
  /**
   * The revision that the caller expects; another one on the server is an error
   * (REVISION_MISMATCH). Empty accepts any.
   */
  revision?: string;
}

/** GetSeasonResponse is one season's table. */
export interface GetSeasonResponse {
  /** The table. */
  season: Season | null;
  /** Set when "current" had no valid table, or a table is not fully sourced. */
  warnings: Warning[];
}

/** Season is a season's table without its element values (ListElements). */
export interface Season {
  /** Season key: "2025-26". */
  season: string;
  /** Title for people. */
  title: string;
  /** Fingerprint of the table. */
  revision: string;
  /** First day on which the table is valid: "2025-07-01". */
  validFrom: string;
  /** Last day on which the table is valid: "2026-06-30". */
  validTo: string;
  /** The season that this one states its differences to; empty if none. */
  extends: string;
  /** Scale of the GOE marks. */
  goe: GoeScale | null;
  /** Scale of the component marks. */
  componentMarks: ComponentScale | null;
  /** How a panel's marks become one figure. */
  panel: Panel | null;
  /** Categories with their segments, by key. */
  categories: Category[];
  /** Deductions of the season; a category may state its own. */
  deductions: DeductionRule[];
  /** Signs that may stand behind a jump or element. */
  signs: SignRule[];
  /** Where the values of each discipline come from. */
  valueSources: ValueSource[];
  /** Every rule of the table, by key: what was read where, and how sure it is. */
  rules: Rule[];
  /**
   * Features that raise the level of a spin or a step sequence of single
   * skating in this season, in the order of the published lists: the names and
   * choices to show people. What each needs is in `rules`.
   */
  levelFeatures: LevelFeature[];
}

/** LevelFeature is a feature that a season's table has. */
export interface LevelFeature {
  /** The feature, as answers to levels:call name it. */
  feature: Feature;
  /** Its name: "Change of edge". */
  title: string;
  /** The same for a small screen, at most 14 letters: "edge". */
  short: string;
  /**
   * Kinds of element in which it can count: "ONE_POSITION", "ONE_POSITION_CHANGE"
   * (with change of foot), "COMBINATION" and "COMBINATION_CHANGE" of spins, or
   * "STEP_SEQUENCE".
   */
  kinds: string[];
  /**
   * Positions in which it counts: "CAMEL", "SIT", "UPRIGHT", "LAYBACK",
   * "BIELLMANN", "UPRIGHT_VARIATION" (a difficult one), "VARIATION" (a difficult
   * one of any basic position), "NON_BASIC_IN_COMBINATION". Empty where it is
   * bound to no position.
   */
  positions: string[];
  /** How to reach it, in words. The coach decides what is safe. */
  reach: string;
  /**
   * Where a panel reports it in what was skated: "entry", "change" (of foot),
   * "position" (in `features`), "variation" or "exit". Empty where it is found
   * from the rest.
   */
  reported: string;
}

/** GoeScale is the scale of the marks for the grade of execution. */
export interface GoeScale {
  /** Lowest mark. */
  min: number;
  /** Highest mark. */
  max: number;
  /**
   * Percent of the base value that one grade is worth where the table states no
   * points; 0 where the points of every mark are listed.
   */
  percentPerGrade: number;
}

/** ComponentScale is the scale of the component marks. */
export interface ComponentScale {
  /** Lowest mark: 0.25. */
  min: number;
  /** Highest mark: 10. */
  max: number;
  /** Distance of two neighbouring marks: 0.25. */
  step: number;
}

/** Panel says how a panel's marks become one figure. */
export interface Panel {
  /** Fewest judges. */
  minJudges: number;
  /** Most judges. */
  maxJudges: number;
  /** From so many counted marks on the highest and lowest are left out. */
  trimFrom: number;
  /** How many marks are left out at each end. */
  trim: number;
  /** True when only a drawn part of the judges counted. */
  draw: boolean;
}

/** Category is a group of skaters judged by the same rules. */
export interface Category {
  /** Key: "senior-women". */
  category: string;
  /** Title for people. */
  title: string;
  /** "singles", "pairs" or "dance". */
  discipline: string;
  /** "senior", "junior", "advanced-novice", …, or a club's own. */
  level: string;
  /** Highest level that an element can get: 1 to 4. */
  maxLevel: number;
  /** Segments in the order skated. */
  segments: Segment[];
  /** Deductions that differ from the season's. */
  deductions: DeductionRule[];
}

/** Segment is one part of an event, such as the short program. */
export interface Segment {
  /** Key: "short-program", "free-skating", … */
  segment: string;
  /** Title for people. */
  title: string;
  /** Components that are marked, in printed order. */
  components: SegmentComponent[];
  /** The bonus of elements executed in the second half. */
  secondHalf: SecondHalf | null;
}

/** SegmentComponent is a component as a segment has it. */
export interface SegmentComponent {
  /** The component. */
  component: Component;
  /** Its name as that season's protocols print it. */
  name: string;
  /** Its factor with two digits: "1.33". */
  factor: string;
}

/** SecondHalf is the rule of the bonus for elements in the second half. */
export interface SecondHalf {
  /** Which elements in the second half earn it: "none", "all" or "last". */
  which: string;
  /** With "last": only so many, counted from the end. */
  last: number;
  /** Percent of the base value that they then have: 110. 0 when none earns it. */
  percent: number;
  /** Kinds of element that can earn it: "jump", "throw", … */
  kinds: string[];
  /** The rule in words. */
  text: string;
}

/** DeductionRule says what a deduction costs. */
export interface DeductionRule {
  /** The deduction. */
  kind: DeductionKind;
  /**
   * Points of the first, second, … occurrence, each negative with two digits:
   * "-1.00". The last one holds for all that follow.
   */
  points: string[];
  /** What counts as one occurrence, in words. */
  note: string;
}

/** SignRule says what a sign does to the value. */
export interface SignRule {
  /** The sign, or signs in canonical order: "<", "e", "e<", "V". */
  sign: string;
  /**
   * How the value is found: "full", "table" (the reduced form has its own row),
   * "one_turn_less" or "percent".
   */
  value: string;
  /** With "percent": percent of the full value. */
  percent: number;
}

/** ValueSource says where a discipline's values come from. */
export interface ValueSource {
  /** "singles", "pairs" or "dance". */
  discipline: string;
  /** How many elements have a value. */
  elements: number;
  /** The published source in words. */
  source: string;
}

/** Rule is one entry of the table: a value, or a rule that holds several of them. */
export interface Rule {
  /**
   * Path of the entry: "base_value.second_half.percent"; for the value of an
   * element "values.singles.3Lz". Warnings, features and findings name these keys.
   */
  key: string;
  /** Its value as text; empty for a rule that holds several values, which follow it. */
  value: string;
  /** Where it was read. */
  source: string;
  /** "high", "medium", "low", "memory" or "inferred". */
  confidence: string;
  /** Remark for the reader. */
  note: string;
  /** What the rule is about, in words; empty for a single value of a rule. */
  title: string;
}

/** RuleChange is a rule that differs. */
export interface RuleChange {
  /** Path of the entry: "goe.max". */
  key: string;
  /** Value in the earlier season; empty when it had none. */
  from: string;
  /** Value in the later season; empty when it has none. */
  to: string;
}

/** ListElementsRequest asks for the elements of a season. */
export interface ListElementsRequest {
  /** Season key ("2025-26") or "current". */
  season: string;
  /** The revision that the caller expects. Empty accepts any. */
  revision?: string;
  /** Only this discipline: "singles", "pairs" or "dance". Empty means all. */
  discipline?: string;
  /**
   * Only this kind: "jump", "spin", "step", "choreo", "lift", "throw", "twist",
   * "death_spiral", "pattern", "twizzle". Empty means all.
   */
  kind?: string;
  /** Most elements of one answer. 0 means 100; more than 1000 means 1000. */
  pageSize?: number;
  /**
   * next_page_token of the answer before; everything else must be as it was
   * there.
   */
  pageToken?: string;
}

/** ListElementsResponse is one page of elements. */
export interface ListElementsResponse {
  /** Elements in the order of their codes. */
  elements: Element[];
  /** Token of the next page; empty on the last one. */
  nextPageToken: string;
  /** The table. */
  rules: RulesInfo | null;
  /** Warnings about the table. */
  warnings: Warning[];
}

/** ExportElementsRequest asks for the elements of a season as CSV. */
export interface ExportElementsRequest {
  /** Season key ("2025-26") or "current". */
  season: string;
  /** The revision that the caller expects. Empty accepts any. */
  revision?: string;
  /** Only this discipline: "singles", "pairs" or "dance". Empty means all. */
  discipline?: string;
  /** Only this kind, as in ListElementsRequest. Empty means all. */
  kind?: string;
  /**
   * True for a row, too, for each form with signs that has a lower value, such as
   * 3Lz< behind 3Lz.
   */
  reducedForms?: boolean;
}

/** GetElementRequest asks for one element. */
export interface GetElementRequest {
  /** Season key ("2025-26") or "current". */
  season: string;
  /**
   * Code of one jump or element, with its signs: "3Lz", "3Lz<", "CCoSp4V". In a
   * URL percent-encoded where needed: "3Lz%3C".
   */
  code: string;
  /** Category key, where the value depends on it. Empty takes the general value. */
  category?: string;
  /** The revision that the caller expects. Empty accepts any. */
  revision?: string;
  /**
   * Condition of an element that has several values in the season: the compulsory
   * dance ("Golden Waltz"), or the kind of competition. Empty where the value has
   * no condition; the error SCOPE_REQUIRED names the choices.
   */
  scope?: string;
}

/** GetElementResponse is one element. */
export interface GetElementResponse {
  /** The element. */
  element: Element | null;
  /** The table. */
  rules: RulesInfo | null;
  /** Values that were inferred. */
  warnings: Warning[];
}

/** Element is one entry of a season's scale of values. */
export interface Element {
  /** Code in canonical form: "3Lz", "CCoSp4". */
  code: string;
  /** Name in words: "triple Lutz". */
  name: string;
  /** "jump", "spin", "step", … as in ListElementsRequest. */
  kind: string;
  /** "singles", "pairs" or "dance". */
  discipline: string;
  /** Points with two digits: "5.90". */
  baseValue: string;
  /**
   * Points of every mark the table knows, lowest mark first. A mark that is not
   * here has no known points (GOE_VALUE_UNKNOWN).
   */
  goePoints: GoePoints[];
  /** The same element with the signs that reduce its value. */
  reducedForms: ReducedForm[];
  /** Where the values were read. */
  source: string;
  /** How sure the base value is: "high" or "inferred". */
  confidence: string;
  /**
   * Condition under which the value holds: a pattern dance's name, or a range of
   * dates inside the season. Empty when it always holds.
   */
  scope: string;
}

/** GoePoints is what one GOE mark is worth for an element. */
export interface GoePoints {
  /** The mark: -5 to 5, or -3 to 3 in older seasons. */
  mark: number;
  /** Points with two digits: "-0.59". */
  points: string;
  /** How sure they are: "high" or "inferred". */
  confidence: string;
}

/** ReducedForm is an element with signs and the value it then has. */
export interface ReducedForm {
  /** Code with signs: "3Lz<". */
  code: string;
  /** Points with two digits. */
  baseValue: string;
}

/** CompareSeasonsRequest asks for the difference of two seasons. */
export interface CompareSeasonsRequest {
  /** The earlier season's key, or "current". */
  from: string;
  /** The later season's key, or "current". */
  to: string;
  /** Only this discipline: "singles", "pairs" or "dance". Empty means all. */
  discipline?: string;
}

/** CompareSeasonsResponse is the difference of two seasons. */
export interface CompareSeasonsResponse {
  /** The table compared from. */
  from: RulesInfo | null;
  /** The table compared to. */
  to: RulesInfo | null;
  /** Elements of both seasons whose base value changed. */
  changed: ValueChange[];
  /** Elements that only the later season has. */
  added: ElementValue[];
  /** Elements that only the earlier season has. */
  removed: ElementValue[];
  /** Rules that differ. */
  ruleChanges: RuleChange[];
  /** Warnings about either table. */
  warnings: Warning[];
}

/** ValueChange is an element whose base value changed. */
export interface ValueChange {
  /** Code in canonical form. */
  code: string;
  /** "singles", "pairs" or "dance". */
  discipline: string;
  /** Points in the earlier season. */
  from: string;
  /** Points in the later season. */
  to: string;
  /** Later less earlier: "-0.10". */
  difference: string;
  /** Condition under which the values hold; empty when they always hold. */
  scope: string;
}

/** ElementValue is an element with its base value. */
export interface ElementValue {
  /** Code in canonical form. */
  code: string;
  /** "singles", "pairs" or "dance". */
  discipline: string;
  /** Points with two digits. */
  baseValue: string;
  /** Condition under which the value holds; empty when it always holds. */
  scope: string;
}

/** GetScoreboardRequest names the event. */
export interface GetScoreboardRequest {
  /** Event id. */
  event: string;
}

/** GetScoreboardResponse is the scoreboard now. */
export interface GetScoreboardResponse {
  /** The scoreboard. */
  scoreboard: Scoreboard | null;
}

/** WatchScoreboardRequest names the event and where to go on. */
export interface WatchScoreboardRequest {
  /** Event id. */
  event: string;
  /**
   * The sequence number that the watcher saw last. Left out begins with the
   * scoreboard as it is now.
   */
  afterSequence?: string;
  /**
   * True to be sent only the members of the scoreboard that have changed, each of
   * them whole, with event, sequence and time. The first scoreboard and each with
   * reset are whole. Over REST members that have not changed are absent.
   */
  changes?: boolean;
}

/** ListPlacesRequest names the event and the page. */
export interface ListPlacesRequest {
  /** Event id. */
  event: string;
  /** Most places of each standing in one answer. 0 means 100; more than 1000 means 1000. */
  pageSize?: number;
  /**
   * next_page_token of the answer before. When a place has changed since, it is
   * refused with PAGE_TOKEN_INVALID, so that all pages fit together: begin again
   * without one.
   */
  pageToken?: string;
}

/**
 * ListPlacesResponse is a page of both standings. One that has no more places has
 * none in the later pages.
 */
export interface ListPlacesResponse {
  /** Sequence number of the event that it was read at. */
  sequence: string;
  /** Places of the segment; unset before the first starts. */
  standing: SegmentStanding | null;
  /** Result over the segments of its category so far. */
  finalStanding: FinalStanding | null;
  /** To be sent as page_token for the next page; empty at the end. */
  nextPageToken: string;
}

/** Heartbeat says that the stream lives. */
export interface Heartbeat {
  /** Sequence number up to which the watcher has seen everything. */
  sequence: string;
  /** With the scoreboard of a copy: how old it is. */
  copy: BoardCopy | null;
}

/** Scoreboard is what the hall sees. */
export interface Scoreboard {
  /** Event id. */
  event: string;
  /** Name of the event. */
  name: string;
  /** Where it is held. */
  place: string;
  /** Sequence number of the event that it shows. */
  sequence: string;
  /** When that fact was written. */
  time: string | null;
  /** The segment that was worked on last; unset before the first starts. */
  segment: ScoreboardSegment | null;
  /** Who skates, or skated last; unset before the first is called. */
  skater: ScoreboardSkater | null;
  /** Who skates next, at most three. */
  next: StartingPlace[];
  /**
   * Places of the segment. Of more than 60 it holds the first 20, four on either side
   * of who skates, and whoever stands so in final_standing; ListPlaces has them all.
   */
  standing: SegmentStanding | null;
  /** Result over the segments of its category so far, held as standing is. */
  finalStanding: FinalStanding | null;
  /** All segments of the event, to choose from. */
  segments: ScoreboardSegment[];
  /** What is to be known about the event as a whole, as GetEvent has it. */
  warnings: Warning[];
  /**
   * How old it is, where the server shows a copy of an event that is run on another
   * one at the rink; unset at the rink itself.
   */
  copy: BoardCopy | null;
}

/**
 * ScoreboardChange is the members of a scoreboard that have changed, each of them
 * whole. A member that is absent has not changed.
 */
export interface ScoreboardChange {
  /** Event id. */
  event: string;
  /** Name of the event. */
  name?: string;
  /** Where it is held. */
  place?: string;
  /** Sequence number of the event that it shows. */
  sequence: string;
  /** When that fact was written. */
  time: string | null;
  /** The segment that was worked on last; unset before the first starts. */
  segment?: ScoreboardSegment | null;
  /** Who skates, or skated last; unset before the first is called. */
  skater?: ScoreboardSkater | null;
  /** Who skates next, at most three. */
  next?: StartingPlace[];
  /**
   * Places of the segment. Of more than 60 it holds the first 20, four on either side
   * of who skates, and whoever stands so in final_standing; ListPlaces has them all.
   */
  standing?: SegmentStanding | null;
  /** Result over the segments of its category so far, held as standing is. */
  finalStanding?: FinalStanding | null;
  /** All segments of the event, to choose from. */
  segments?: ScoreboardSegment[];
  /** What is to be known about the event as a whole, as GetEvent has it. */
  warnings?: Warning[];
  /**
   * How old it is, where the server shows a copy of an event that is run on another
   * one at the rink; unset at the rink itself.
   */
  copy?: BoardCopy | null;
}

/**
 * BoardCopy says how old the copy of a scoreboard is: what it shows held when the rink
 * was heard last. A stream says so again with each heartbeat.
 */
export interface BoardCopy {
  /** When the rink was heard last, by the clock of the server that has the copy. */
  heardTime: string | null;
  /** What that clock showed when this was made. */
  now: string | null;
}

/** ScoreboardSegment is a segment as the scoreboard names it. */
export interface ScoreboardSegment {
  /** Category of the event. */
  category: string;
  /** Title of the category. */
  categoryTitle: string;
  /** Segment key. */
  segment: string;
  /** Title of the segment. */
  segmentTitle: string;
  /** How far it is. */
  state: SegmentState;
  /** Whether the referee has signed. */
  status: ResultStatus;
  /** How many performances are confirmed. */
  confirmed: number;
  /** How many there are in all, without those that are out. */
  performances: number;
  /** Sequence number of the event after its starting order was made last; 0 before. */
  orderSequence: string;
}

/** ScoreboardSkater is the performance that the scoreboard shows. */
export interface ScoreboardSkater {
  /** The performance without marks. */
  performance: Performance | null;
  /** Place in the segment; 0 before it is confirmed. */
  place: number;
  /** Place over the segments; 0 before it is confirmed. */
  finalPlace: number;
  /**
   * What is needed for the lead; unset when nobody has a score yet, when it is
   * confirmed, and when the entry is out.
   */
  lead: Lead | null;
}

/** Lead is what a skater needs to lead over all segments so far. */
export interface Lead {
  /** Entry that leads now. */
  entry: string;
  /** Its name. */
  name: string;
  /** Its sum of segment scores: points with two digits. */
  totalScore: string;
  /**
   * The segment score that the skater must exceed. With exactly as much the
   * season's rule for ties decides.
   */
  segmentScoreToExceed: string;
}

/** CallLevelsRequest is what was skated, as a technical panel sees it. */
export interface CallLevelsRequest {
  /** Season key ("2025-26") or "current". */
  season: string;
  /** The revision that the caller expects. Empty accepts any. */
  revision?: string;
  /** Category key of the season: "senior-women". */
  category: string;
  /** Segment key: "short-program", "free-skating". */
  segment: string;
  /**
   * The levelled elements of one program in the order skated. Limits run over
   * the whole program, so an element sent alone may get a higher level.
   */
  elements: LevelledElement[];
}

/** CallLevelsResponse is the call of each element. */
export interface CallLevelsResponse {
  /** One for each element of the request, in its order. */
  elements: CalledElement[];
  /** The table. */
  rules: RulesInfo | null;
  /** Rules behind the calls that are not surely known. */
  warnings: Warning[];
  /**
   * Words of caution that belong beside what would bring the next level; empty
   * when no element says that. Show them.
   */
  caution: string;
}

/** BatchCallLevelsRequest is many programs. */
export interface BatchCallLevelsRequest {
  /** Season key ("2025-26") or "current", for the programs that name none. */
  season: string;
  /**
   * The revision that the caller expects, for the programs that name none.
   * Empty accepts any.
   */
  revision?: string;
  /** The programs, at most 1000. Limits run over each by itself. */
  programs: CallLevelsRequest[];
}

/** BatchCallLevelsResponse answers many programs. */
export interface BatchCallLevelsResponse {
  /** One for each program of the request, in its order. */
  results: LevelsResult[];
}

/** LevelsResult is the levels of a program, or why it has none. */
export type LevelsResult = {
} & (
  | {
    /** The levels. */
    levels: CallLevelsResponse;
    error?: undefined;
  }
  | {
    levels?: undefined;
    /**
     * What was wrong with this program: the status that CallLevels would have
     * answered, with its details.
     */
    error: Status;
  }
);

/** ParseElementsRequest is a list of element codes. */
export interface ParseElementsRequest {
  /** Season key ("2025-26") or "current": the elements of a club are known by it. */
  season: string;
  /** The revision that the caller expects. Empty accepts any. */
  revision?: string;
  /** The codes, at most 1000, in any letters: "3Lz+3T<", "ccosp4v". */
  codes: string[];
}

/** ParseElementsResponse is what the codes say. */
export interface ParseElementsResponse {
  /** One for each code of the request, in its order. */
  results: ParsedResult[];
  /** The table. */
  rules: RulesInfo | null;
  /** Set when "current" had no valid table. */
  warnings: Warning[];
}

/** ParsedResult is what a code says, or why it is none. */
export type ParsedResult = {
} & (
  | {
    /** The element. */
    element: ParsedElement;
    error?: undefined;
  }
  | {
    element?: undefined;
    /**
     * What is wrong with this code, in the words and with the reason that
     * ValueElements would have, and its details.
     */
    error: Status;
  }
);

/** ParsedElement is an element as its code says it. */
export interface ParsedElement {
  /** What was given. */
  given: string;
  /** Code that was read, in canonical form: "3Lz+3T<". */
  code: string;
  /**
   * True when what was given has other letters than a code has ("3lz+3t<") and
   * the code stands for what was meant.
   */
  respelled: boolean;
  /**
   * "jump", "spin", "step", "choreo", "lift", "throw", "twist", "death_spiral",
   * "spiral", "pattern", "twizzle", "other".
   */
  kind: string;
  /** Name in words: "triple Lutz + triple toe loop, under-rotated". */
  name: string;
  /** The jumps or moves of the element. */
  parts: ParsedPart[];
  /** What stands behind a part with a plus: "SEQ", "COMBO", "REP", "TRANS", "EXEL". */
  markers: string[];
  /** Key points of a pattern dance, such as "YNTY"; empty where none stand there. */
  keyPoints: string;
  /** True when every part is without value ("*"). */
  noValue: boolean;
  /**
   * Disciplines in which the season has a base value of every part that counts.
   * Empty means that the code is well formed and the season has no such element.
   */
  disciplines: string[];
}

/** ParsedPart is one jump of a combination, one partner's part, or a whole element. */
export interface ParsedPart {
  /** Code of the part with its signs, in canonical form: "3T<". */
  code: string;
  /** The same without signs: "3T". */
  bare: string;
  /** Name in words: "triple toe loop, under-rotated". */
  name: string;
  /** Kind, as of the element. */
  kind: string;
  /**
   * Turns of a jump, throw or twist lift; 0 for an attempt without any, and
   * elsewhere.
   */
  turns: number;
  /** "B", "1" to "4", or empty. */
  level: string;
  /** Signs of what was called, in canonical order: "!", "<". Without "*". */
  signs: string[];
  /** True when the part is without value ("*"). */
  noValue: boolean;
}

/** ValueElementsRequest is a list of element codes. */
export interface ValueElementsRequest {
  /** Season key ("2025-26") or "current". */
  season: string;
  /** The revision that the caller expects. Empty accepts any. */
  revision?: string;
  /** Category key of the season: "senior-men". */
  category: string;
  /** Segment key: "free-skating". */
  segment: string;
  /** The elements in the order skated. */
  elements: SkatedElement[];
  /**
   * Condition that decides the value of an element which has several in the
   * season: the compulsory dance ("Golden Waltz"), or the kind of competition.
   * Empty where every value has no condition; the error SCOPE_REQUIRED names the
   * choices.
   */
  scope?: string;
}

/** SkatedElement is an element as the technical panel called it. */
export interface SkatedElement {
  /**
   * Code: "3Lz+3T", "3F!<", "CCoSp4". "*" behind a jump or element takes its
   * value away.
   */
  code: string;
  /**
   * True when it was executed in the second half. Whether that earns the bonus
   * is the season's rule.
   */
  secondHalf?: boolean;
}

/** ValueElementsResponse is the base value of each element. */
export interface ValueElementsResponse {
  /** One for each element of the request, in its order. */
  elements: ValuedElement[];
  /** Sum of the base values: points with two digits. */
  totalBaseValue: string;
  /** The table. */
  rules: RulesInfo | null;
  /** Values that were inferred and rules that are not surely known. */
  warnings: Warning[];
}

/** ValuedElement is an element with its base value. */
export interface ValuedElement {
  /** Code in canonical form. */
  code: string;
  /** Points with two digits, after all reductions and factors. */
  baseValue: string;
  /** The jumps or moves of the element. */
  parts: Part[];
  /** What the sum of the parts was multiplied by. */
  factors: Factor[];
}

/** ScoreSegmentRequest is what a panel called and marked in one segment. */
export interface ScoreSegmentRequest {
  /** Season key ("2025-26") or "current". */
  season: string;
  /** The revision that the caller expects. Empty accepts any. */
  revision?: string;
  /** Category key of the season: "senior-women". */
  category: string;
  /** Segment key: "short-program". */
  segment: string;
  /** The elements in the order skated, with their marks. */
  elements: MarkedElement[];
  /** The components with their marks: each that the segment has, once. */
  components: MarkedComponent[];
  /**
   * Numbers, from 1, of the judges whose marks count, in the seasons that drew
   * them. Empty means all.
   */
  countedJudges?: number[];
  /**
   * Numbers, from 1, of the judges that were absent for the whole segment; their
   * marks are left out everywhere.
   */
  absentJudges?: number[];
  /** Points taken off. */
  deductions?: Deduction[];
  /** True to get every step of the calculation in words and figures. */
  explain?: boolean;
  /**
   * Condition that decides the value of an element which has several in the
   * season: the compulsory dance ("Golden Waltz"), or the kind of competition.
   * Empty where every value has no condition; the error SCOPE_REQUIRED names the
   * choices.
   */
  scope?: string;
}

/** MarkedElement is an element with the panel's marks. */
export interface MarkedElement {
  /** Code as the technical panel called it: "3Lz+3T". */
  code: string;
  /** True when it was executed in the second half. */
  secondHalf?: boolean;
  /**
   * Marks for the grade of execution, one for each judge in the panel's order,
   * whole numbers on the season's scale. Judges named in absent_judges or in
   * missing_marks have none here.
   */
  marks: number[];
  /**
   * Judges of the panel that gave no mark for this element; what that counts as
   * is the season's rule.
   */
  missingMarks?: MissingMark[];
}

/** MissingMark is a mark that a present judge did not give. */
export interface MissingMark {
  /** Number of the judge, from 1. */
  judge: number;
}

/** MarkedComponent is a component with the panel's marks. */
export interface MarkedComponent {
  /** The component. */
  component: Component;
  /**
   * Marks, one for each judge in the panel's order, from 0.25 to 10 in steps of
   * 0.25. Judges named in absent_judges have none here.
   */
  marks: number[];
}

/** Deduction is points to take off. */
export interface Deduction {
  /** What for. */
  kind: DeductionKind;
  /** How often; left out means once. */
  count?: number;
  /**
   * Only with OTHER: points of all of them together, negative with two digits,
   * "-1.00". The other kinds take theirs from the table.
   */
  value?: string;
  /** Only with OTHER: what for, in words. */
  note?: string;
}

/** ScoreSegmentResponse is the score of one segment. */
export interface ScoreSegmentResponse {
  /** One for each element of the request, in its order. */
  elements: ScoredElement[];
  /** Total element score: points with two digits. */
  elementScore: string;
  /** One for each component, in the segment's printed order. */
  components: ScoredComponent[];
  /** Program component score, factored: points with two digits. */
  componentScore: string;
  /** The deductions with their points. */
  deductions: ScoredDeduction[];
  /** Sum of the deductions: negative, or "0.00". */
  totalDeductions: string;
  /** Total segment score: element score plus component score plus deductions. */
  segmentScore: string;
  /** Every step of the calculation, when the request asked to explain. */
  steps: string[];
  /** The table. */
  rules: RulesInfo | null;
  /** Values that were inferred and rules that are not surely known. */
  warnings: Warning[];
}

/** ScoredElement is an element with its score. */
export interface ScoredElement {
  /** Code in canonical form. */
  code: string;
  /** Points with two digits, after all reductions and factors. */
  baseValue: string;
  /** Points of the panel's grade of execution, with two digits. */
  goe: string;
  /** Base value plus grade of execution. */
  score: string;
  /** The jumps or moves of the element. */
  parts: Part[];
  /** What the sum of the parts was multiplied by. */
  factors: Factor[];
}

/** ScoredComponent is a component with its score. */
export interface ScoredComponent {
  /** The component. */
  component: Component;
  /** Its name as that season's protocols print it. */
  name: string;
  /** The panel's mark: trimmed mean with two digits. */
  panelScore: string;
  /** Factor with two digits: "1.33". */
  factor: string;
  /**
   * Panel's mark times factor: points with two digits. Protocols print the sum
   * of all components only.
   */
  score: string;
}

/** ScoredDeduction is a deduction with its points. */
export interface ScoredDeduction {
  /** What for. */
  kind: DeductionKind;
  /** How often. */
  count: number;
  /** Points of all of them together, negative with two digits: "-2.00". */
  value: string;
  /** The request's words, with OTHER. */
  note: string;
}

/** BatchScoreSegmentsRequest is many segments. */
export interface BatchScoreSegmentsRequest {
  /** Season key ("2025-26") or "current", for the segments that name none. */
  season: string;
  /**
   * The revision that the caller expects, for the segments that name none.
   * Empty accepts any.
   */
  revision?: string;
  /** The segments, at most 1000. */
  segments: ScoreSegmentRequest[];
}

/** BatchScoreSegmentsResponse answers many segments. */
export interface BatchScoreSegmentsResponse {
  /** One for each segment of the request, in its order. */
  results: SegmentResult[];
}

/** SegmentResult is a segment's score, or why it has none. */
export type SegmentResult = {
} & (
  | {
    /** The score. */
    score: ScoreSegmentResponse;
    error?: undefined;
  }
  | {
    score?: undefined;
    /**
     * What was wrong with this segment: the status that ScoreSegment would have
     * answered, with its details.
     */
    error: Status;
  }
);

/** RulesInfo names the season table that an answer rests on. */
export interface RulesInfo {
  /** Season key: "2025-26". */
  season: string;
  /**
   * Fingerprint of the whole table: "sha256:" and hexadecimal digits. Equal
   * revisions give equal answers.
   */
  revision: string;
  /** Title of the table for people. */
  title: string;
}

/**
 * Warning says that an answer rests on something weaker than a published rule
 * that was read, or on an assumption.
 */
export interface Warning {
  /**
   * UPPER_SNAKE and stable: "LOW_CONFIDENCE" (a rule that was not read from a
   * published text), "INFERRED_VALUE" (a value that was inferred),
   * "SEASON_NOT_LOADED" ("current" has no valid table, the newest answers),
   * "PANEL_NOT_DRAWN" (the season drew judges and the request names none),
   * "SECOND_HALF_FLAG" (the flags contradict the order of the elements),
   * "LEVEL_ABOVE_CAP" (a code has a level that the category does not have). More
   * may be added.
   */
  code: string;
  /** For the person who asked, in plain words. */
  message: string;
  /**
   * Key of the table's rule that the warning is about, as GetSeason shows it
   * (values.<discipline>.<code> for the value of an element); empty when there is
   * none. A rule makes one warning, however often the answer rests on it.
   */
  rule: string;
  /**
   * How surely the rule is known: "medium", "low", "memory" or "inferred", as in
   * GetSeason; empty when the warning is not about that.
   */
  confidence: string;
  /**
   * Paths in the caller's own request that rest on the rule, in the order of the
   * request: "elements[3]", "components[0]", "deductions[1]", "text.line[1]"; of one
   * of many segments with its place in front, "segments[2].elements[3]". Empty when
   * the whole answer rests on it.
   */
  fields: string[];
}

/** Component is a program component (the second mark). */
export type Component =
  /** Not a component. */
  | "COMPONENT_UNSPECIFIED"
  /** Skating skills. */
  | "SKATING_SKILLS"
  /** Transitions; also linking footwork, linking movement. */
  | "TRANSITIONS"
  /** Performance; also execution. */
  | "PERFORMANCE"
  /** Composition; also choreography. */
  | "COMPOSITION"
  /** Interpretation of the music; in ice dance interpretation and timing. */
  | "INTERPRETATION"
  /** Timing (compulsory dances only). */
  | "TIMING"
  /** Presentation. */
  | "PRESENTATION";

/** DeductionKind is a reason to take points off a segment. */
export type DeductionKind =
  /** Not a deduction. */
  | "DEDUCTION_KIND_UNSPECIFIED"
  /**
   * A fall. Where the season raises the points with the number of falls, count
   * them all in one entry.
   */
  | "FALL"
  /**
   * The program is too long or too short; count once for each started five
   * seconds.
   */
  | "TIME_VIOLATION"
  /** The program was interrupted. */
  | "INTERRUPTION"
  /** Costume or prop against the rules. */
  | "COSTUME"
  /** Part of the costume or decoration fell on the ice. */
  | "COSTUME_FAILURE"
  /** An element or movement that the rules forbid. */
  | "ILLEGAL_ELEMENT"
  /** Music against the rules. */
  | "MUSIC"
  /** Tempo of the music against the rules (ice dance). */
  | "MUSIC_TEMPO"
  /** A lift held longer than allowed (ice dance). */
  | "EXTENDED_LIFT"
  /** An element more than allowed. */
  | "EXTRA_ELEMENT"
  /** The skater came late to the start. */
  | "LATE_START"
  /** Anything else; its value stands in the request. */
  | "OTHER";

/** Part is one jump or move of an element: "3Lz" and "3T" of "3Lz+3T". */
export interface Part {
  /** Code of the part, in canonical form. */
  code: string;
  /**
   * Points with two digits, after the part's own signs ("<", "e", "V") and
   * before the factors of the whole element.
   */
  baseValue: string;
}

/** Factor is something by which the base value of an element was multiplied. */
export interface Factor {
  /** The rule behind the factor. */
  kind: FactorKind;
  /** The factor with two digits: "1.10", "0.80". */
  by: string;
}

/** FactorKind is the rule behind a factor. */
export type FactorKind =
  /** Not a factor. */
  | "FACTOR_KIND_UNSPECIFIED"
  /** Executed in the second half and earning its bonus. */
  | "SECOND_HALF"
  /** A jump sequence ("+SEQ"). */
  | "SEQUENCE"
  /** A repeated jump ("+REP"). */
  | "REPEAT"
  /** A required combination that was not executed ("+COMBO"). */
  | "COMBINATION_INCOMPLETE";
