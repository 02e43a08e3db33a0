// The first page says which season it is.

import { Client } from "../embed/client.js";
import { at, setText } from "../embed/dom.js";
import { t } from "./parts/words.js";

const { current, seasons } = await new Client(new URL("../", import.meta.url).href).call("ListSeasons");
setText(at("season"), t("home.season", { season: current || seasons.at(-1).season }));
