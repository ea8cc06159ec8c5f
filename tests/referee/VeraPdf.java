// Turns PDF files into verdicts of the veraPDF engine: one line per file and profile (ua1, 2a), PASS or FAIL with the rules that failed.
// One invariant: exit 0 only when every file passed every profile; 1 when one failed; 2 when one could not be judged.
// Must not: share code with the program, or judge anything itself.

import java.io.File;
import java.util.TreeSet;
import org.verapdf.gf.foundry.VeraGreenfieldFoundryProvider;
import org.verapdf.pdfa.Foundries;
import org.verapdf.pdfa.flavours.PDFAFlavour;

public class VeraPdf {
    public static void main(String[] files) {
        VeraGreenfieldFoundryProvider.initialise();
        int exit = files.length == 0 ? 2 : 0;
        for (String file : files) {
            for (String profile : new String[] {"ua1", "2a"}) {
                PDFAFlavour flavour = PDFAFlavour.byFlavourId(profile);
                try (var parser = Foundries.defaultInstance().createParser(new File(file), flavour);
                        var validator = Foundries.defaultInstance().createValidator(flavour, false)) {
                    var result = validator.validate(parser);
                    var failed = new TreeSet<String>();
                    result.getFailedChecks().forEach((rule, times) ->
                            failed.add(rule.getClause() + "-" + rule.getTestNumber() + " x" + times));
                    boolean passed = result.isCompliant() && result.getTotalAssertions() > 0;
                    System.out.println((passed ? "PASS " : "FAIL ") + profile + " " + file + " " + String.join(", ", failed));
                    exit = Math.max(exit, passed ? 0 : 1);
                } catch (Exception | LinkageError trouble) {
                    System.out.println("FAIL " + profile + " " + file + " could not be judged: " + trouble);
                    exit = 2;
                }
            }
        }
        System.exit(exit);
    }
}
