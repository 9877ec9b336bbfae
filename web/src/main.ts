import "./styles.css";

import { startCard } from "./card";
import { startCursor } from "./cursor";
import { startExercise } from "./exercise";
import { startForms } from "./forms";
import { startTheme } from "./theme";
import { startUnits } from "./units";
import { startUpload } from "./upload";

startTheme();
startUnits();
startForms();
startExercise();
startCard();
startUpload();
startCursor();
document.documentElement.dataset["ready"] = "yes";
