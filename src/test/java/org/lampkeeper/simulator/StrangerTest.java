package org.lampkeeper.simulator;

import com.tngtech.archunit.core.importer.ClassFileImporter;
import com.tngtech.archunit.core.importer.ImportOption;
import org.junit.jupiter.api.Test;

import static com.tngtech.archunit.core.domain.JavaClass.Predicates.resideInAPackage;
import static com.tngtech.archunit.core.domain.JavaClass.Predicates.resideOutsideOfPackage;
import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.noClasses;

class StrangerTest {

    // Shared code would hide it when what is sent and what is expected differ.
    @Test
    void theSimulatorKnowsNothingOfTheProgramThatItTests() {
        noClasses().should().dependOnClassesThat(resideInAPackage("org.lampkeeper..").and(resideOutsideOfPackage("org.lampkeeper.simulator")))
                .check(new ClassFileImporter().withImportOption(new ImportOption.DoNotIncludeTests())
                        .importPackages("org.lampkeeper.simulator"));
    }
}
