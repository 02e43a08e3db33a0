// The list of seasons: its days as the language writes them.

import { day } from "../parts/numbers.js";

for (const time of document.querySelectorAll("main time")) time.textContent = day(time.dateTime);
