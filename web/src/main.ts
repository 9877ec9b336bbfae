import "./styles.css";

import { startAsked } from "./asked";
import { startCard } from "./card";
import { startCharts } from "./charts";
import { startCursor } from "./cursor";
import { startDesk } from "./desk";
import { startExercise } from "./exercise";
import { startForms } from "./forms";
import { startNotes } from "./notes";
import { startTheme } from "./theme";
import { startUnits } from "./units";
import { startUnkept } from "./unkept";
import { startUpload } from "./upload";
import { startWhatIf } from "./what_if";

startTheme();
startUnits();
startForms();
startExercise();
startAsked();
startCard();
startUnkept();
startUpload();
const cursor = startCursor();
if (cursor !== null) {
  startCharts(cursor);
  startNotes(cursor);
  startWhatIf(cursor);
}
startDesk();
document.documentElement.dataset["ready"] = "yes";
